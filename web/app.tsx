import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
import { NOT_A_DEVICE } from '../server/wording/cautions.ts'
import { Connectedness } from './parts/connectedness.tsx'
import { SimulatedMark } from './parts/simulated-mark.tsx'
import { TopBar } from './parts/top-bar.tsx'
import { type Route, routeOf } from './route.ts'
import { Link, usePath } from './router.tsx'
import { AlarmsScreen } from './screens/alarms.tsx'
import { BatchesScreen } from './screens/batches.tsx'
import { BenchScreen } from './screens/bench.tsx'
import { BenchesScreen } from './screens/benches.tsx'
import { InstrumentsScreen } from './screens/instruments.tsx'
import { PlannerScreen } from './screens/planner.tsx'
import { ProgramScreen } from './screens/program.tsx'
import { RecordScreen } from './screens/record.tsx'
import { SetUpScreen } from './screens/set-up.tsx'
import { SheetsScreen } from './screens/sheets.tsx'
import { useApp } from './store.ts'

export const App = () => {
  const route = routeOf(usePath())
  return (
    <>
      <a class="skip" href="#content">
        Skip to the content
      </a>
      <TopBar route={route} />
      <SimulatedBanner route={route} />
      <Connectedness />
      <main id="content" tabIndex={-1}>
        <Screen route={route} />
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
    case 'program':
      return <ProgramScreen />
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
  program: 'What the program is doing',
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
