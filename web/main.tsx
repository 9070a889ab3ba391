import { render } from 'preact'
import { App } from './app.tsx'
import { connect } from './connection.ts'
import { ConnectionContext } from './parts/frame/site.ts'
import { createSession, mayRead, SessionContext } from './session.ts'
import { createStore, StoreContext } from './store.ts'

/** A session ends by itself; the page says so without being asked. */
const LOOK_EVERY_MS = 15_000

const place = document.getElementById('screen')
if (place !== null) {
  const store = createStore()
  const connection = connect(store, () => void session.refresh())
  const session = createSession(store, connection)
  void session.refresh().then(() => {
    // no answer: the live channel keeps trying, and says that it is not connected
    if (mayRead(store.get().session)) connection.open()
  })
  setInterval(() => void session.refresh(), LOOK_EVERY_MS)
  for (const sign of ['pointerdown', 'keydown']) window.addEventListener(sign, session.here)
  render(
    <StoreContext.Provider value={store}>
      <ConnectionContext.Provider value={connection}>
        <SessionContext.Provider value={session}>
          <App />
        </SessionContext.Provider>
      </ConnectionContext.Provider>
    </StoreContext.Provider>,
    place,
  )
}
