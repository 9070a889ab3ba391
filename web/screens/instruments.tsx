export const InstrumentsScreen = () => (
  <div class="page">
    <h1>instruments</h1>
  </div>
)
