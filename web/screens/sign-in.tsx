import { SignInForm } from '../parts/people/sign-in-form.tsx'

/** All that is shown to somebody who is not signed in. */
export const SignInScreen = () => (
  <div class="page narrow">
    <h1>Sign in</h1>
    <SignInForm />
    <p class="hint">
      Lost your password? An administrator makes a new link for you under People. The only administrator: run{' '}
      <code>spargewatch people reset NAME</code> on the machine.
    </p>
  </div>
)
