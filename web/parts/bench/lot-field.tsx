import { useEffect, useId, useRef, useState } from 'preact/hooks'
import type { LotUsed } from '../../../server/wire.ts'
import { useAsked } from '../../ask.ts'
import { LONGEST_LOT } from '../../typed/lot-typed.ts'
import { describedBy, Labelled } from '../form/field.tsx'

interface LotFieldProps {
  readonly fluid: string
  readonly lot: string
  readonly onLot: (lot: string) => void
}

const HINT = 'Scan it, type it or choose one used last. Left empty, it is marked missing.'

/**
 * A scanner types and ends with Enter. The field has the focus from the start; Enter only ends the lot: many scanners send
 * two, and the second must not press a button. What stands there is marked, so that another scan takes its place.
 */
export const LotField = ({ fluid, lot, onLot }: LotFieldProps) => {
  const id = useId()
  const input = useRef<HTMLInputElement>(null)
  const [isRead, setRead] = useState(false)
  const [asked] = useAsked<LotUsed[]>(`/api/lots?fluid=${encodeURIComponent(fluid)}`)
  useEffect(() => input.current?.focus(), [])
  const take = (value: string) => {
    setRead(value !== '')
    onLot(value)
  }
  return (
    <>
      <Labelled id={id} label="Lot" hint={HINT}>
        <span class="field-input">
          <input
            ref={input}
            id={id}
            type="text"
            autocomplete="off"
            maxLength={LONGEST_LOT}
            value={lot}
            aria-describedby={describedBy(id, HINT)}
            onInput={(event) => {
              setRead(false)
              onLot(event.currentTarget.value)
            }}
            onKeyDown={(event) => {
              if (event.key !== 'Enter') return
              event.preventDefault()
              event.currentTarget.select()
              setRead(event.currentTarget.value.trim() !== '')
            }}
          />
        </span>
      </Labelled>
      <LastLots asked={asked.kind === 'answer' ? asked.value : []} lot={lot} onLot={take} />
      <p class="answer" aria-live="polite">
        {isRead && `Lot ${lot.trim()}`}
      </p>
    </>
  )
}

interface LastLotsProps {
  readonly asked: readonly LotUsed[]
  readonly lot: string
  readonly onLot: (lot: string) => void
}

const LastLots = ({ asked, lot, onLot }: LastLotsProps) =>
  asked.length === 0 ? null : (
    <fieldset class="last-lots">
      <legend>Used last</legend>
      <div class="action-buttons">
        {asked.map((used) => (
          <button
            key={used.lot}
            type="button"
            class="big"
            aria-pressed={used.lot === lot}
            onClick={() => onLot(used.lot)}
          >
            {used.lot}
          </button>
        ))}
      </div>
    </fieldset>
  )
