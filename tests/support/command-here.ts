import { vi } from 'vitest'
import { runCli } from '../../server/cli/main.ts'

/**
 * A command inside the test's own process: a second of start-up is saved. For refusals and for
 * preparing; what the test is about is tried as a real process where it works.
 */
export const runHere = async (
  args: readonly string[],
  home: string,
): Promise<{ readonly code: number; readonly stderr: string }> => {
  const before = { code: process.exitCode, home: process.env['SPARGEWATCH_HOME'] }
  let stderr = ''
  const spy = vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    stderr += String(text)
    return true
  })
  const quiet = vi.spyOn(console, 'log').mockImplementation(() => {})
  try {
    process.env['SPARGEWATCH_HOME'] = home
    process.exitCode = 0
    await runCli(args)
    return { code: Number(process.exitCode), stderr }
  } finally {
    spy.mockRestore()
    quiet.mockRestore()
    process.exitCode = before.code
    if (before.home === undefined) delete process.env['SPARGEWATCH_HOME']
    else process.env['SPARGEWATCH_HOME'] = before.home
  }
}
