export const ProgramScreen = () => (
  <div class="page">
    <h1>program</h1>
  </div>
)
