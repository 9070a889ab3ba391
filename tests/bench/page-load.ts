import type { Browser } from 'playwright-core'
import { sleep, usageOf } from './program.ts'

/** Shares of one core, as a fraction, over a while. */
export interface PageLoad {
  readonly renderer: number
  readonly gpu: number
}

interface BrowserProcess {
  readonly type: string
  readonly id: number
}

/** What one page costs: the process that runs and draws it, and the one that puts it on the screen. One page open at a time. */
export const pageLoad = async (browser: Browser, seconds: number): Promise<PageLoad> => {
  const cdp = await browser.newBrowserCDPSession()
  const { processInfo } = (await cdp.send('SystemInfo.getProcessInfo')) as { processInfo: BrowserProcess[] }
  await cdp.detach()
  const used = (type: string) => {
    const pids = processInfo.filter((p) => p.type === type).map((p) => p.id)
    return pids.reduce((sum, pid) => sum + usageOf(pid).cpuS, 0)
  }
  const before = [used('renderer'), used('GPU')] as const
  await sleep(seconds * 1000)
  return { renderer: (used('renderer') - before[0]) / seconds, gpu: (used('GPU') - before[1]) / seconds }
}
