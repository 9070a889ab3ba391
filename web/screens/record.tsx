export const RecordScreen = ({ batch }: { readonly batch: string }) => (
  <div class="page">
    <h1>{batch}</h1>
  </div>
)
