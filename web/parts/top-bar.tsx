import { useEffect, useState } from 'preact/hooks'
import type { SessionView } from '../../server/wire.ts'
import { useUnit } from '../remembered.ts'
import type { Route } from '../route.ts'
import { Link } from '../router.tsx'
import { useSession } from '../session.ts'
import { useApp } from '../store.ts'
import { SiteTime } from './site-time.tsx'
import { SoundButton } from './sound.tsx'
import { WhoActs } from './who-acts.tsx'

const SCREENS = [
  { to: '/', text: 'Benches', screens: ['benches', 'bench'] },
  { to: '/plan', text: 'Plan', screens: ['plan'] },
  { to: '/sheets', text: 'Sheets', screens: ['sheets'] },
  { to: '/batches', text: 'Batches', screens: ['batches', 'record'] },
  { to: '/trials', text: 'Trials', screens: ['trials', 'trial'] },
  { to: '/alarms', text: 'Alarms', screens: ['alarms'] },
  { to: '/instruments', text: 'Instruments', screens: ['instruments', 'set-up'] },
  { to: '/program', text: 'Program', screens: ['program'] },
] as const

const PEOPLE = { to: '/people', text: 'People', screens: ['people'] } as const

/** People for who looks after them. */
const screensFor = (session: SessionView | null) =>
  session?.person?.acts_as === 'administrator' ? [...SCREENS, PEOPLE] : SCREENS

export const TopBar = ({ route }: { readonly route: Route }) => {
  const site = useApp((s) => s.site)
  const [session] = useSession()
  const alarms = useApp((s) => s.alarms)
  const waiting = alarms.filter((a) => a.state === 'unacknowledged').length
  const [open, setOpen] = useState(false)
  useEffect(() => setOpen(false), [route])
  return (
    <header class={`top${open ? ' top-open' : ''}${session?.set_up === true ? ' top-people' : ''}`}>
      <p class="site">
        <b>Spargewatch</b> <span>{site?.name ?? ''}</span>
      </p>
      <SiteTime />
      <WhoActs />
      <button
        type="button"
        class="menu"
        aria-expanded={open}
        aria-controls="screens-and-tools"
        onClick={() => setOpen(!open)}
      >
        Menu
        <Waiting count={waiting} what="alarms not acknowledged" />
      </button>
      <div class="top-more" id="screens-and-tools">
        <nav aria-label="Screens">
          {screensFor(session).map(({ to, text, screens }) => (
            <Link key={to} to={to} current={(screens as readonly string[]).includes(route.screen)}>
              {text}
              {to === '/alarms' && <Waiting count={waiting} what="not acknowledged" />}
            </Link>
          ))}
        </nav>
        <div class="tools">
          <UnitChoice />
          <SoundButton />
        </div>
      </div>
    </header>
  )
}

const Waiting = ({ count, what }: { readonly count: number; readonly what: string }) =>
  count === 0 ? null : (
    <span class="waiting">
      {count}
      <span class="unseen"> {what}</span>
    </span>
  )

const UnitChoice = () => {
  const [unit, setUnit] = useUnit()
  return (
    <label class="unit-choice">
      Unit{' '}
      <select value={unit} onChange={(e) => setUnit(e.currentTarget.value === 'mg/L' ? 'mg/L' : 'µg/mL')}>
        <option>µg/mL</option>
        <option>mg/L</option>
      </select>
    </label>
  )
}
