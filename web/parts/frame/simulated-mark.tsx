interface MarkProps {
  readonly what: string
}

/** On the screen a banner; on paper also a band down the edge of every sheet, so that no page can be taken for real. */
export const SimulatedMark = ({ what }: MarkProps) => (
  <>
    <p class="simulated">
      <strong>Simulated:</strong> {what}
    </p>
    <p class="simulated-sheet" aria-hidden="true">
      Simulated: not from a meter
    </p>
  </>
)
