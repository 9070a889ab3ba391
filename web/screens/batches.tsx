export const BatchesScreen = () => (
  <div class="page">
    <h1>batches</h1>
  </div>
)
