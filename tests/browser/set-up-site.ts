import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { type NetworkMeter, startMeter, startTicking } from '../support/meter.ts'
import { endAll, runPart } from '../support/program.ts'
import { type Cable, plugIn, unplugAll } from '../support/pty-pair.ts'
import { untilTap } from '../support/tap-listener.ts'
import { launch, watched } from './browser.ts'

export interface SetUpSite {
  readonly home: string
  readonly address: string
  /** Wired already. */
  readonly meter: NetworkMeter
  /** What is to be set up hangs at this. */
  readonly cable: Cable
  readonly device: string
  readonly page: Page
  readonly faults: readonly string[]
  readonly end: () => Promise<void>
}

/** Daemon, server and browser as built, one meter wired, another plugged in and not wired. */
export const startSetUpSite = async (): Promise<SetUpSite> => {
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-set-up-'))
  const device = join(folder, 'adapter')
  const meter = await startMeter()
  const cable = await plugIn(device)
  // a thermometer and a meter in one box, as many send: name, number; name, number
  const combined = (n: number) => `O3=${((n % 90) / 10 + 4).toFixed(1).replace('.', ',')};T=68,${n % 10}\r\n`
  const ticking = [startTicking(meter, 200), startTicking(cable, 200, combined)]
  const home = makeHome(
    `# kept by Ines\n${wiring({ port: tcpPort(meter.port, 60), benches: ['A', 'B'], intervalS: 0.2 })}`,
    join(folder, 'home'),
  )
  await runPart(['daemon'], { home }).started()
  const { address } = await runPart(['serve'], { home }).started()
  await untilTap(home)
  const browser = await launch()
  const context = await browser.newContext({
    viewport: { width: 1366, height: 768 },
    reducedMotion: 'reduce',
  })
  const { page, faults } = await watched(context)
  page.setDefaultTimeout(15_000)
  return {
    ...{ home, address, meter, cable, device, page, faults },
    end: async () => {
      for (const { stop } of ticking) stop()
      await browser.close()
      await endAll()
      await unplugAll()
      await meter.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
