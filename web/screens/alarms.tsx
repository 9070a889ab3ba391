export const AlarmsScreen = () => (
  <div class="page">
    <h1>alarms</h1>
  </div>
)
