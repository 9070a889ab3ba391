import { useState } from 'preact/hooks'
import type { SessionView } from '../../../server/wire.ts'
import { post } from '../../ask.ts'
import { Link } from '../../router.tsx'
import { useSession } from '../../session.ts'
import { Dialog } from '../form/dialog.tsx'
import { PinForm } from '../people/pin-form.tsx'

/** In the heading strip: who acts here, and the way to another. Nothing while nobody can sign in. */
export const WhoActs = () => {
  const [session, control] = useSession()
  const [picking, setPicking] = useState(false)
  if (session === null || !session.set_up) return null
  const { person, display } = session
  const signOut = async (): Promise<void> => {
    const answer = await post<SessionView>('/api/sign-out', {})
    if (answer.kind === 'answer') control.took(answer.value)
    else await control.refresh()
  }
  return (
    <div class="who-acts">
      {display !== null && <span class="who-display">Display {display.name}</span>}
      {person === null ? (
        <span>nobody acts here</span>
      ) : (
        <Link to="/me">
          {person.name}
          {person.idle && ' (sign in again to act)'}
        </Link>
      )}
      {display !== null && (
        <button type="button" onClick={() => setPicking(true)}>
          {person === null ? 'Act' : 'Switch'}
        </button>
      )}
      {person !== null && (
        <button type="button" onClick={() => void signOut()}>
          {display === null ? 'Sign out' : 'Finish'}
        </button>
      )}
      {picking && (
        <Dialog title="Who are you?" onClose={() => setPicking(false)}>
          <PinForm onDone={() => setPicking(false)} />
        </Dialog>
      )}
    </div>
  )
}
