import type { ComponentChildren } from 'preact'
import { useEffect, useMemo } from 'preact/hooks'
import { NOT_A_DEVICE } from '../server/wording/cautions.ts'
import { Connectedness } from './parts/frame/connectedness.tsx'
import { SimulatedMark } from './parts/frame/simulated-mark.tsx'
import { TopBar } from './parts/frame/top-bar.tsx'
import { type Route, routeOf } from './route.ts'
import { Link, usePath } from './router.tsx'
import { AlarmsScreen } from './screens/alarms.tsx'
import { BatchesScreen } from './screens/batches.tsx'
import { BenchScreen } from './screens/bench.tsx'
import { BenchesScreen } from './screens/benches.tsx'
import { InstrumentsScreen } from './screens/instruments.tsx'
import { MeScreen } from './screens/me.tsx'
import { PeopleScreen } from './screens/people.tsx'
import { PlannerScreen } from './screens/planner.tsx'
import { ProgramScreen } from './screens/program.tsx'
import { RecordScreen } from './screens/record.tsx'
import { SetUpScreen } from './screens/set-up.tsx'
import { SheetsScreen } from './screens/sheets.tsx'
import { SignInScreen } from './screens/sign-in.tsx'
import { TrialScreen } from './screens/trial.tsx'
import { TrialsScreen } from './screens/trials.tsx'
import { WelcomeScreen } from './screens/welcome.tsx'
import { mayRead } from './session.ts'
import { useApp } from './store.ts'

export const App = () => {
  const path = usePath()
  const route = useMemo(() => routeOf(path), [path])
  const isShut = useApp((s) => !mayRead(s.session))
  return (
    <>
      <a class="skip" href="#content">
        Skip to the content
      </a>
      {!isShut && (
        <>
          <TopBar route={route} />
          <SimulatedBanner route={route} />
          <Connectedness />
        </>
      )}
      <main id="content" tabIndex={-1}>
        {isShut && route.screen !== 'welcome' ? <SignInScreen /> : <Screen route={route} />}
      </main>
      <footer class="foot">
        <p>{NOT_A_DEVICE}</p>
      </footer>
    </>
  )
}

const Screen = ({ route }: { readonly route: Route }): ComponentChildren => {
  useEffect(() => {
    document.title = `${TITLE[route.screen]} · Spargewatch`
  }, [route.screen])
  switch (route.screen) {
    case 'benches':
      return <BenchesScreen />
    case 'bench':
      return <BenchScreen key={route.bench} bench={route.bench} />
    case 'batches':
      return <BatchesScreen />
    case 'record':
      return <RecordScreen key={route.batch} batch={route.batch} />
    case 'alarms':
      return <AlarmsScreen />
    case 'instruments':
      return <InstrumentsScreen />
    case 'set-up':
      return <SetUpScreen key={route.instrument ?? ''} instrument={route.instrument} />
    case 'plan':
      return <PlannerScreen />
    case 'sheets':
      return <SheetsScreen />
    case 'trials':
      return <TrialsScreen />
    case 'trial':
      return <TrialScreen key={route.trial} trial={route.trial} />
    case 'program':
      return <ProgramScreen />
    case 'people':
      return <PeopleScreen />
    case 'me':
      return <MeScreen />
    case 'welcome':
      return <WelcomeScreen />
    case 'unknown':
      return (
        <div class="page">
          <h1>There is no such page</h1>
          <p>
            <Link to="/">To the benches</Link>
          </p>
        </div>
      )
    default:
      return route satisfies never
  }
}

const TITLE: Readonly<Record<Route['screen'], string>> = {
  benches: 'Benches',
  bench: 'Bench',
  batches: 'Batches',
  record: 'Record of a batch',
  alarms: 'Alarms',
  instruments: 'Instruments',
  'set-up': 'Set up a meter',
  plan: 'Plan a batch',
  sheets: 'Method sheets',
  trials: 'Trials',
  trial: 'Trial',
  program: 'What the program is doing',
  people: 'People',
  me: 'You',
  welcome: 'Welcome',
  unknown: 'No such page',
}

/** On every screen and print when the whole site is simulated; on a bench's screens when that bench is. */
const SimulatedBanner = ({ route }: { readonly route: Route }) => {
  const site = useApp((s) => s.site)
  const bench = route.screen === 'bench' ? route.bench : null
  const here = site?.benches.find((b) => b.id === bench)
  if (site?.simulated !== true && here?.simulated !== true) return null
  return <SimulatedMark what="numbers are not from a meter." />
}
