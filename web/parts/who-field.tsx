import { useWho } from '../remembered.ts'
import { Field } from './field.tsx'

/** The name as typed, kept in this tab only. It is typed, not signed in, and the record says so. */
export const WhoField = ({ needed }: { readonly needed: boolean }) => {
  const [who, setWho] = useWho()
  return (
    <Field
      label="Your name"
      value={who}
      onValue={setWho}
      maxLength={60}
      required={needed}
      hint={
        needed
          ? 'As typed. This tab remembers it.'
          : 'May stay empty now: stopping must not wait for typing. Sign it afterwards with a note.'
      }
    />
  )
}
