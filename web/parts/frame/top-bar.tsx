import type { ComponentChildren } from 'preact'
import type { SessionView } from '../../../server/wire.ts'
import type { Route } from '../../route.ts'
import { Link } from '../../router.tsx'
import { useSession } from '../../session.ts'
import { useApp } from '../../store.ts'
import { SoundButton } from '../alarm/sound.tsx'
import { More } from './more.tsx'
import { SiteTime } from './site-time.tsx'
import { WhoActs } from './who-acts.tsx'

interface ScreenLink {
  readonly to: string
  readonly text: string
  readonly screens: readonly Route['screen'][]
}

/** What a day at the bench needs stays in sight; what is looked at now and then is one tap away. */
const DAILY: readonly ScreenLink[] = [
  { to: '/', text: 'Benches', screens: ['benches', 'bench'] },
  { to: '/alarms', text: 'Alarms', screens: ['alarms'] },
]

/** Daily where there is room for it. */
const BATCHES: ScreenLink = { to: '/batches', text: 'Batches', screens: ['batches', 'record'] }

const NOW_AND_THEN: readonly ScreenLink[] = [
  { to: '/plan', text: 'Plan', screens: ['plan'] },
  { to: '/sheets', text: 'Sheets', screens: ['sheets'] },
  { to: '/trials', text: 'Trials', screens: ['trials', 'trial'] },
  { to: '/instruments', text: 'Instruments', screens: ['instruments', 'set-up'] },
  { to: '/program', text: 'Program', screens: ['program'] },
]

const PEOPLE: ScreenLink = { to: '/people', text: 'People', screens: ['people'] }

/** People for who looks after them. */
const nowAndThen = (session: SessionView | null): readonly ScreenLink[] =>
  session?.person?.acts_as === 'administrator' ? [...NOW_AND_THEN, PEOPLE] : NOW_AND_THEN

export const TopBar = ({ route }: { readonly route: Route }) => {
  const site = useApp((s) => s.site)
  const [session] = useSession()
  const waiting = useApp((s) => s.alarms.filter((a) => a.state === 'unacknowledged').length)
  const further = nowAndThen(session)
  return (
    <header class="top">
      <p class="site">
        <b>Spargewatch</b> <span>{site?.name ?? ''}</span>
      </p>
      <nav aria-label="Screens" class="daily">
        {DAILY.map((link) => (
          <ScreenLinkTo key={link.to} link={link} route={route}>
            {link.to === '/alarms' && <Waiting count={waiting} />}
          </ScreenLinkTo>
        ))}
        <span class="not-narrow">
          <ScreenLinkTo link={BATCHES} route={route} />
        </span>
        <More route={route} here={further.find((link) => link.screens.includes(route.screen))?.text}>
          <ul class="more-screens">
            <li class="only-narrow">
              <ScreenLinkTo link={BATCHES} route={route} />
            </li>
            {further.map((link) => (
              <li key={link.to}>
                <ScreenLinkTo link={link} route={route} />
              </li>
            ))}
          </ul>
        </More>
      </nav>
      <SoundButton />
      <WhoActs />
      <SiteTime />
    </header>
  )
}

interface LinkToProps {
  readonly link: ScreenLink
  readonly route: Route
  readonly children?: ComponentChildren
}

const ScreenLinkTo = ({ link, route, children }: LinkToProps) => (
  <Link to={link.to} current={link.screens.includes(route.screen)}>
    {link.text}
    {children}
  </Link>
)

const Waiting = ({ count }: { readonly count: number }) =>
  count === 0 ? null : (
    <span class="waiting">
      {count}
      <span class="unseen"> not acknowledged</span>
    </span>
  )
