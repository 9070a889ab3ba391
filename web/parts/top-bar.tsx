import { useUnit } from '../remembered.ts'
import type { Route } from '../route.ts'
import { Link } from '../router.tsx'
import { useApp } from '../store.ts'
import { SiteTime } from './site-time.tsx'
import { SoundButton } from './sound.tsx'

const SCREENS = [
  { to: '/', text: 'Benches', screens: ['benches', 'bench'] },
  { to: '/batches', text: 'Batches', screens: ['batches', 'record'] },
  { to: '/alarms', text: 'Alarms', screens: ['alarms'] },
  { to: '/instruments', text: 'Instruments', screens: ['instruments'] },
  { to: '/program', text: 'Program', screens: ['program'] },
] as const

export const TopBar = ({ route }: { readonly route: Route }) => {
  const site = useApp((s) => s.site)
  const alarms = useApp((s) => s.alarms)
  const waiting = alarms.filter((a) => a.state === 'unacknowledged').length
  return (
    <header class="top">
      <p class="site">
        <b>Spargewatch</b> <span>{site?.name ?? ''}</span>
      </p>
      <nav aria-label="Screens">
        {SCREENS.map(({ to, text, screens }) => (
          <Link key={to} to={to} current={(screens as readonly string[]).includes(route.screen)}>
            {text}
            {to === '/alarms' && waiting > 0 && (
              <span class="waiting">
                {waiting}
                <span class="unseen"> not acknowledged</span>
              </span>
            )}
          </Link>
        ))}
      </nav>
      <div class="tools">
        <SiteTime />
        <UnitChoice />
        <SoundButton />
      </div>
    </header>
  )
}

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
