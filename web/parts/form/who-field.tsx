import { useTypedName } from '../../remembered.ts'
import { useActor } from '../../who.ts'
import { PinForm } from '../people/pin-form.tsx'
import { SignInForm } from '../people/sign-in-form.tsx'
import { Field } from './field.tsx'

/** Who enters this: the signed-in person; at a shared display, after a PIN; a typed name while nobody can sign in. */
export const WhoField = ({ needed }: { readonly needed: boolean }) => {
  const [typed, setTyped] = useTypedName()
  const actor = useActor()
  switch (actor.kind) {
    case 'typed':
      return (
        <Field
          label="Your name"
          value={typed}
          onValue={setTyped}
          maxLength={60}
          required={needed}
          hint={
            needed
              ? 'As typed. This tab remembers it.'
              : 'May stay empty now: stopping must not wait for typing. Sign it afterwards with a note.'
          }
        />
      )
    case 'person':
      return (
        <p class="who-is">
          Entered by <b>{actor.name}</b>
        </p>
      )
    case 'display':
      return (
        <div class="who-is">
          <p>
            {needed
              ? 'Who are you? Pick your name, then your PIN.'
              : 'Can be entered at once and signed afterwards. Or first: who are you?'}
          </p>
          <PinForm />
        </div>
      )
    case 'reader':
      return actor.why === 'idle' ? (
        <div class="who-is">
          <p>{actor.name} has not done anything here for a while. To enter something, sign in again.</p>
          <SignInForm name={actor.name} />
        </div>
      ) : (
        <p class="warning">{actor.name} may read and not enter anything (role viewer).</p>
      )
    default:
      return actor satisfies never
  }
}
