/** What the analysis says of the batch as a whole, in its own words. */
export const BatchNotes = ({ notes }: { readonly notes: readonly string[] }) =>
  notes.length === 0 ? null : (
    <>
      <h3>About the whole batch</h3>
      <ul class="notes">
        {notes.map((note) => (
          <li key={note}>{note}</li>
        ))}
      </ul>
    </>
  )
