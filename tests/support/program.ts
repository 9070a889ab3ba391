import { type ChildProcess, spawn } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { until } from './until.ts'

/** Folder of the package: the tests run what was built into its `dist/`. */
export const PACKAGE = join(dirname(fileURLToPath(import.meta.url)), '../..')
const PART = join(PACKAGE, 'dist/server/cli/part.js')
const LAUNCH = join(PACKAGE, 'server/launch')

export interface Ended {
  readonly code: number | null
  readonly signal: NodeJS.Signals | null
}

/** A real process of the program, with everything it has said. */
export interface Program {
  readonly pid: number
  readonly stdout: () => string
  readonly stderr: () => string
  /** The message a part sends when it is up; fails with its output when it ends instead. */
  started(): Promise<{ readonly address: string }>
  /** Waits until it has said this, on either stream. */
  says(pattern: RegExp): Promise<RegExpExecArray>
  ended(withinMs?: number): Promise<Ended>
  kill(signal: NodeJS.Signals): void
  /** Closes the channel to a part, as the end of its supervisor does. */
  disconnect(): void
}

export interface ProgramOptions {
  readonly home?: string
  readonly env?: NodeJS.ProcessEnv
  readonly cwd?: string
}

const running = new Set<ChildProcess>()

/** `node part.js daemon`, as the supervisor starts it. */
export const runPart = (part: readonly string[], options: ProgramOptions = {}): Program =>
  launch(process.execPath, [PART, ...part], options, true)

/** `node server/launch/start.mjs`, what `npm start` runs. */
export const runStart = (options: ProgramOptions): Program =>
  launch(process.execPath, [join(LAUNCH, 'start.mjs')], options, false)

/** The `spargewatch` command as a person types it. */
export const runCommand = (args: readonly string[], options: ProgramOptions = {}): Program =>
  launch(process.execPath, [join(LAUNCH, 'spargewatch.mjs'), ...args], options, false)

export const runOther = (command: string, args: readonly string[], options: ProgramOptions = {}): Program =>
  launch(command, args, options, false)

/** Runs a command to its end. */
export const runToEnd = async (
  args: readonly string[],
  options: ProgramOptions = {},
): Promise<{ readonly code: number | null; readonly stdout: string; readonly stderr: string }> => {
  const program = runCommand(args, options)
  const { code } = await program.ended()
  return { code, stdout: program.stdout(), stderr: program.stderr() }
}

/** Ends what this test file started and is still running; for `afterEach`. */
export const endAll = async (): Promise<void> => {
  const ends = [...running].map((child) => new Promise((resolve) => child.once('close', resolve)))
  for (const child of running) child.kill('SIGKILL')
  await Promise.all(ends)
}

const launch = (
  command: string,
  args: readonly string[],
  { home, env = {}, cwd = PACKAGE }: ProgramOptions,
  isPart: boolean,
): Program => {
  const child = spawn(command, [...args], {
    cwd,
    env: environment(home, env),
    stdio: ['ignore', 'pipe', 'pipe', ...(isPart ? (['ipc'] as const) : [])],
  })
  running.add(child)
  const said = { out: '', err: '' }
  child.stdout?.setEncoding('utf8').on('data', (text: string) => {
    said.out += text
  })
  child.stderr?.setEncoding('utf8').on('data', (text: string) => {
    said.err += text
  })
  let message: { address: string } | undefined
  child.on('message', (news: { kind?: string; address?: string }) => {
    if (news.kind === 'started') message = { address: news.address ?? '' }
  })
  let end: Ended | undefined
  // 'close' comes after the last of its output, 'exit' may come before; a grandchild can hold the output open
  child.once('exit', (code, signal) => {
    running.delete(child)
    setTimeout(() => {
      end ??= { code, signal }
    }, 500).unref()
  })
  child.once('close', (code, signal) => {
    end ??= { code, signal }
  })
  const everything = () => `${said.out}${said.err}`
  return {
    pid: child.pid ?? 0,
    stdout: () => said.out,
    stderr: () => said.err,
    started: async () => {
      const news = await until(
        () => `${args.at(-1)} to be up, which said: ${everything()}`,
        () => message ?? end,
      )
      if ('address' in news) return news
      throw new Error(`${args.at(-1)} ended with ${JSON.stringify(news)}: ${everything()}`)
    },
    says: (pattern) =>
      until(
        () => `${pattern} in: ${everything().slice(-500)}`,
        () => pattern.exec(everything()) ?? undefined,
      ),
    ended: (withinMs) => until(`the end of ${args.join(' ')}`, () => end, withinMs),
    kill: (signal) => void child.kill(signal),
    disconnect: () => child.disconnect(),
  }
}

/** The surroundings of a test are its own: nothing of the person who runs it leaks in. */
const environment = (home: string | undefined, more: NodeJS.ProcessEnv): NodeJS.ProcessEnv => {
  const { HOST: _host, PORT: _port, SPARGEWATCH_HOME: _home, ...rest } = process.env
  return { ...rest, PORT: '0', ...(home === undefined ? {} : { SPARGEWATCH_HOME: home }), ...more }
}

/** Pids of all descendants of a process, from /proc; only Linux has it. */
export const descendantsOf = (pid: number): number[] => {
  const children = new Map<number, number[]>()
  for (const name of readdirSync('/proc')) {
    if (!/^\d+$/.test(name)) continue
    const parent = parentOf(Number(name))
    if (parent !== undefined) children.set(parent, [...(children.get(parent) ?? []), Number(name)])
  }
  const below = (of: number): number[] =>
    (children.get(of) ?? []).flatMap((child) => [child, ...below(child)])
  return below(pid)
}

const statOf = (pid: number): string[] | undefined => {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8')
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  } catch {
    return undefined
  }
}

const parentOf = (pid: number): number | undefined => {
  const stat = statOf(pid)
  return stat && Number(stat[1])
}

/** Running, and not just a zombie that nobody has waited for. */
export const isAlive = (pid: number): boolean => {
  const state = statOf(pid)?.[0]
  return state !== undefined && state !== 'Z' && state !== 'X'
}

/** Resident memory of a process in MB. */
export const residentMb = (pid: number): number => {
  const found = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))
  return Number(found?.[1] ?? Number.NaN) / 1024
}
