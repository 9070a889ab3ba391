import type { Action, Fill } from './action.ts'
import type { BenchState, Flask } from './bench-state.ts'
import type { BenchSettings } from './settings.ts'
import { SALINE_MOL_PER_L } from './solubility.ts'

export type ActionResult = { readonly ok: true } | { readonly ok: false; readonly why: string }
type Outcome =
  | { readonly ok: true; readonly state: BenchState }
  | { readonly ok: false; readonly why: string }

/** What an action does to the bench, or why nobody could do it now. */
export const applyAction = (state: BenchState, action: Action, settings: BenchSettings): Outcome => {
  switch (action.do) {
    case 'fill':
      return state.flask.kind === 'empty'
        ? done(filled(state, action))
        : no('the flask is not empty: discard first')
    case 'ozone-on':
      return ozoneOn(state, action)
    case 'ozone-off':
      return ozoneOff(state, action)
    case 'flow-off':
      return state.gas.kind === 'off' ? no('no gas flows') : done({ ...state, gas: { kind: 'off' } })
    case 'draw':
      return draw(state, action, settings)
    case 'probe-in':
      return state.probe === 'in' ? no('the probe is in already') : done({ ...state, probe: 'in' })
    case 'probe-out':
      return state.probe === 'out' ? no('the probe is out already') : done({ ...state, probe: 'out' })
    case 'discard':
      return discard(state, settings)
    case 'set-room':
      return done({ ...state, room: withRoom(state.room, action) })
    default:
      return action satisfies never
  }
}

const done = (state: BenchState): Outcome => ({ ok: true, state })
const no = (why: string): Outcome => ({ ok: false, why })

const filled = (state: BenchState, fill: Fill): BenchState => ({
  ...state,
  levels: { ...state.levels, dissolvedMgPerL: fill.dissolvedMgPerL, fluidC: fill.temperatureC },
  flask: {
    kind: 'filled',
    volumeMl: fill.volumeMl,
    saltMolPerL: fill.fluid === 'saline' ? SALINE_MOL_PER_L : 0,
    decay: {
      order: fill.decayOrder,
      halfLifeMin20: fill.fluidHalfLifeMin20,
      startMgPerL: fill.halfLifeStartMgPerL,
      activationKjPerMol: fill.activationKjPerMol,
    },
  },
})

const ozoneOn = (state: BenchState, action: Extract<Action, { do: 'ozone-on' }>): Outcome => {
  if (state.flask.kind === 'empty') return no('the flask is empty')
  const { gasUgPerNml, flowMlPerMin } = action
  return done({ ...state, gas: { kind: 'ozone', gasUgPerNml, flowMlPerMin } })
}

const ozoneOff = (state: BenchState, { purge }: Extract<Action, { do: 'ozone-off' }>): Outcome => {
  if (state.gas.kind !== 'ozone') return no('ozone is not on')
  if (purge === 'none') return done({ ...state, gas: { kind: 'off' } })
  return done({ ...state, gas: { kind: 'oxygen', flowMlPerMin: state.gas.flowMlPerMin, path: purge } })
}

const draw = (
  state: BenchState,
  { ml, lostShare }: Extract<Action, { do: 'draw' }>,
  settings: BenchSettings,
): Outcome => {
  const { flask, levels } = state
  if (flask.kind === 'empty') return no('the flask is empty')
  // Drawing the last drop leaves no volume to divide by; emptying a flask is a discard.
  if (ml >= flask.volumeMl) return no(`less than ${flask.volumeMl} mL can be drawn`)
  const left = { ...flask, volumeMl: flask.volumeMl - ml }
  const lostMgPerL = levels.dissolvedMgPerL * lostShare
  const after = escaped(state, ozoneMg(left, lostMgPerL), settings)
  return done({
    ...after,
    flask: left,
    levels: { ...after.levels, dissolvedMgPerL: levels.dissolvedMgPerL - lostMgPerL },
  })
}

/** Poured away: what was dissolved goes to the air above the sink. */
const discard = (state: BenchState, settings: BenchSettings): Outcome => {
  if (state.flask.kind === 'empty') return no('the flask is empty')
  if (state.gas.kind !== 'off') return no('gas still flows: flow off first')
  const after = escaped(state, ozoneMg(state.flask, state.levels.dissolvedMgPerL), settings)
  return done({
    ...after,
    flask: { kind: 'empty' },
    levels: { ...after.levels, dissolvedMgPerL: 0, fluidC: state.room.temperatureC },
  })
}

const ozoneMg = (flask: Flask, concentrationMgPerL: number): number =>
  flask.kind === 'empty' ? 0 : (concentrationMgPerL * flask.volumeMl) / 1000

const escaped = (state: BenchState, mg: number, { roomOzone }: BenchSettings): BenchState => {
  if (roomOzone === undefined) return state
  const added = (mg * roomOzone.leakShare) / roomOzone.roomM3
  return { ...state, levels: { ...state.levels, roomMgPerM3: state.levels.roomMgPerM3 + added } }
}

const withRoom = (
  room: BenchState['room'],
  { temperatureC, pressureKpa }: Extract<Action, { do: 'set-room' }>,
): BenchState['room'] => ({
  temperatureC: temperatureC ?? room.temperatureC,
  pressureKpa: pressureKpa ?? room.pressureKpa,
})
