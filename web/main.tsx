import { render } from 'preact'
import { App } from './app.tsx'
import { connect } from './connection.ts'
import { ConnectionContext } from './parts/site.ts'
import { createStore, StoreContext } from './store.ts'

const place = document.getElementById('screen')
if (place !== null) {
  const store = createStore()
  const connection = connect(store)
  render(
    <StoreContext.Provider value={store}>
      <ConnectionContext.Provider value={connection}>
        <App />
      </ConnectionContext.Provider>
    </StoreContext.Provider>,
    place,
  )
}
