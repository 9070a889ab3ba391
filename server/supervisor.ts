import { type ChildProcess, fork } from 'node:child_process'

export interface Part {
  readonly name: string
  /** Module to run, with its arguments. */
  readonly module: string
  readonly args: readonly string[]
  /** The others go on although it does not start (forwarding: logging and screens do not need it). */
  readonly isSideline?: boolean
}

export interface SupervisorOptions {
  readonly parts: readonly Part[]
  readonly env: NodeJS.ProcessEnv
  /** A part reported that it is up. */
  readonly onStarted: (part: string, message: Record<string, unknown>) => void
  readonly onNote: (text: string) => void
}

const FIRST_WAIT_MS = 300
const LONGEST_WAIT_MS = 5000
/** A part that ran this long before it ended starts anew with the shortest wait. */
const STEADY_MS = 30_000
/** A part that never came up is not tried for ever. One that was up once is: logging must not end with the screens. */
const MOST_FAILED_STARTS = 3
/** Exit code of an expected fault (a port in use, a wrong file): its message says what to fix, trying again does not. */
const EXPECTED_FAULT = 2
const STOP_TIMEOUT_MS = 5000

/**
 * Runs the parts as child processes and starts again what dies. Children hold an IPC channel and end when it
 * closes, so they end with this process however it ends. Resolves with the exit code when everything has stopped.
 */
export const supervise = (
  options: SupervisorOptions,
): { readonly stopped: Promise<number>; readonly stop: () => void } => {
  const running = new Map<string, ChildProcess>()
  const onceUp = new Set<string>()
  let stopping = false
  let finish: (code: number) => void = () => {}
  const stopped = new Promise<number>((resolve) => {
    finish = resolve
  })

  const stop = (code = 0) => {
    if (stopping) return
    stopping = true
    for (const child of running.values()) child.kill('SIGTERM')
    if (running.size === 0) return finish(code)
    const timer = setTimeout(() => {
      for (const child of running.values()) child.kill('SIGKILL')
    }, STOP_TIMEOUT_MS)
    void Promise.all(
      [...running.values()].map((child) => new Promise((resolve) => child.once('exit', resolve))),
    ).then(() => {
      clearTimeout(timer)
      finish(code)
    })
  }

  const start = (part: Part, failures: number): void => {
    const child = fork(part.module, [...part.args], {
      env: options.env,
      stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
    })
    const startedAt = performance.now()
    let up = false
    running.set(part.name, child)
    child.on('message', (message: Record<string, unknown>) => {
      if (message['kind'] !== 'started') return
      up = true
      onceUp.add(part.name)
      options.onStarted(part.name, message)
    })
    child.once('exit', (code, signal) => {
      running.delete(part.name)
      if (stopping) return
      const failed = up && performance.now() - startedAt > STEADY_MS ? 1 : failures + 1
      if (
        !part.isSideline &&
        !onceUp.has(part.name) &&
        (code === EXPECTED_FAULT || failed >= MOST_FAILED_STARTS)
      ) {
        options.onNote(`the ${part.name} does not start; its message above says what to fix`)
        return stop(1)
      }
      const wait = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** (failed - 1))
      options.onNote(`the ${part.name} ended (${signal ?? `code ${code}`}); starting it again in ${wait} ms`)
      setTimeout(() => !stopping && start(part, failed), wait)
    })
  }

  for (const part of options.parts) start(part, 0)
  return { stopped, stop: () => stop(0) }
}
