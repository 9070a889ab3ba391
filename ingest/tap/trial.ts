import { realpathSync } from 'node:fs'
import { z } from 'zod'
import type { Clock } from '../clock.ts'
import { portFaults } from '../config-instruments.ts'
import { type LineSpeech, type PortConfig, portOf } from '../config-port.ts'
import { ask, portSchema } from '../config-schema.ts'
import { createAsking } from '../frame/asking.ts'
import type { Conversation, Turn } from '../frame/conversation.ts'
import type { Frame } from '../frame/frame.ts'
import { createModbusFramer } from '../frame/modbus-framer.ts'
import { modbusQuestions } from '../frame/modbus-questions.ts'
import { MOST_REGISTERS } from '../frame/modbus-request.ts'
import { findDevice } from '../port/find-serial.ts'
import type { OpenPort } from '../port/port.ts'
import { keepOpen } from '../port/reconnect.ts'
import { openerOf } from '../port-opener.ts'
import { conversationOf } from '../speech.ts'
import { discardedEvent, frameEvent, tapInto } from './hub.ts'
import type { TapEvent } from './tap-event.ts'

const everyS = z.number().min(0.2).max(60).default(1)

/**
 * A port that is only listened to: its settings as in the wiring, and what may be asked: a text, or registers to be
 * read. There is no way to say anything else.
 */
export const trialSchema = z
  .strictObject({
    port: portSchema.refine((p) => p.kind !== 'replay', 'needs kind serial or tcp'),
    ask: ask.optional(),
    registers: z
      .strictObject({
        address: z.number().int().min(1).max(247),
        table: z.enum(['holding', 'input']),
        start: z.number().int().min(0).max(65_535),
        count: z.number().int().min(1).max(MOST_REGISTERS),
      })
      .optional(),
    interval_s: everyS,
  })
  .superRefine(({ port, ask: text, registers }, context) => {
    const speaksModbus = port.frame.kind === 'modbus-rtu'
    const say = (path: string, message: string) => context.addIssue({ code: 'custom', path: [path], message })
    if (speaksModbus && !registers)
      say(
        'registers',
        'needs address, table, start and count, because a unit of Modbus answers only when asked',
      )
    if (!speaksModbus && registers)
      say('registers', 'needs to go: it is for modbus-rtu, and this port speaks lines')
    if (speaksModbus && text) say('ask', 'needs to go: it is for lines, and this port speaks modbus-rtu')
    if (registers && registers.start + registers.count > 65_536)
      say('registers', 'needs start + count of 65536 at most')
    for (const { path, message } of portFaults('port', port)) say(path.slice(1).join('.'), message)
  })

export type Trial = z.infer<typeof trialSchema>

/** The meter has no name yet. */
const NOBODY = 'meter'

export const trialPort = ({ port }: Trial, home: string): PortConfig =>
  portOf('trial', port, { instruments: [] }, home)

const conversationOn = (trial: Trial, port: PortConfig): Conversation => {
  if (port.speaks === 'modbus-rtu') {
    const { address = 0, ...wanted } = trial.registers ?? { table: 'holding' as const, start: 0, count: 1 }
    const unit = { by: NOBODY, address, everyMs: trial.interval_s * 1000, wanted: [wanted] }
    return createAsking(modbusQuestions([unit], port.patience), createModbusFramer(), port.pauseMs)
  }
  return conversationOf({ ...port, instruments: trial.ask ? [asked(trial, trial.ask)] : [] })
}

const asked = (
  { interval_s }: Trial,
  { text, timeout_s, retries }: z.infer<typeof ask>,
): LineSpeech['instruments'][number] => ({
  instrument: NOBODY,
  bench: NOBODY,
  separator: ',',
  intervalS: interval_s,
  ask: { text, timeoutMs: timeout_s * 1000, retries },
  channels: [],
})

/** Opens the port, tells what comes, asks what may be asked. Nothing of it is stored. Returns a function that closes it. */
export const listenOnTrial = (
  trial: Trial,
  home: string,
  clock: Clock,
  tell: (event: TapEvent) => void,
): (() => void) => {
  const config = trialPort(trial, home)
  const tap = tapInto(tell, clock)
  const conversation = conversationOn(trial, config)
  let opened: OpenPort | undefined
  let waking: NodeJS.Timeout | undefined

  const show = (frames: readonly Frame[]) => {
    const at = { at_ms: clock.now() / 1000, mono_ms: clock.monoMs() }
    for (const frame of frames)
      tell(frame.kind === 'discarded' ? discardedEvent(frame, at) : frameEvent(frame, at))
  }
  const goOn = ({ frames, send, wakeAtMs }: Turn) => {
    show(frames)
    if (send) {
      opened?.write(send)
      tap.bytes('to-meter', send)
    }
    if (wakeAtMs === undefined) return
    clearTimeout(waking)
    waking = setTimeout(
      () => goOn(conversation.wake(clock.monoMs())),
      Math.max(0, Math.ceil(wakeAtMs - clock.monoMs())),
    )
  }

  const stop = keepOpen(openerOf(config), {
    // a wrong setting is silence: the listener decides when it has lasted long enough
    silenceMs: 3_600_000,
    onState: (state) => tap.state(state.state, 'why' in state ? state.why : null),
    onOpen: (port) => {
      opened = port
      goOn(conversation.wake(clock.monoMs()))
    },
    onData: (chunk) => {
      tap.bytes('from-meter', chunk)
      goOn(conversation.push(chunk, clock.monoMs()))
    },
    onCut: () => {
      opened = undefined
      clearTimeout(waking)
      show(conversation.close())
    },
  })
  return () => {
    clearTimeout(waking)
    stop()
  }
}

/** Do both mean the same device or the same address on the network? Only one of them can have it open. */
export const isSameSource = (a: PortConfig['source'], b: PortConfig['source']): boolean => {
  if (a.kind === 'serial' && b.kind === 'serial') {
    const [first, second] = [deviceOf(a), deviceOf(b)]
    return first !== undefined && first === second
  }
  return a.kind === 'tcp' && b.kind === 'tcp' && a.host === b.host && a.port === b.port
}

const deviceOf = ({ settings }: Extract<PortConfig['source'], { kind: 'serial' }>): string | undefined => {
  const found = findDevice(settings.identity)
  if (!found.found) return undefined
  try {
    return realpathSync(found.path)
  } catch {
    return found.path
  }
}
