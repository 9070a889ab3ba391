import { join } from 'node:path'
import { SqliteStore } from '../../ingest/store/sqlite-store.ts'
import { Ledger } from '../../server/ledger/ledger.ts'
import { pastBatches } from '../../server/seed/history-plans.ts'
import { writeBatch } from '../../server/seed/write-batch.ts'
import { newEntry } from './entries.ts'
import { makeHome, tcpPort, wiring } from './home.ts'
import { CALIBRATED } from './measured-batch.ts'
import { PREP_PLAN } from './trial.ts'

const DAY_MS = 86_400_000
const FIRST_MS = Date.parse('2026-03-16T09:00:00Z')

type Fluid = 'saline' | 'distilled' | 'filtered'

/** As this clinic bubbles its saline at bench A: cold, oxygen through the fluid. */
export const SALINE_PLAN = {
  ...PREP_PLAN,
  limits: { ...PREP_PLAN.limits, temperature_low_c: 4, temperature_high_c: 12 },
  purge: 'through-the-fluid' as const,
  measuring_place: 'companion-flask' as const,
  prep_min: 8,
  target_mg_l: 12,
}

/**
 * A home of benches A (saline) and B (distilled, filtered) with finished batches of simulated readings, one a day and fluid,
 * each meter calibrated against indigo before the first. Made before the program is started on it.
 */
export const clinicOfBatches = (counts: Readonly<Partial<Record<Fluid, number>>>, folder: string): string => {
  const home = makeHome(wiring({ port: tcpPort(9), benches: ['A', 'B'] }), join(folder, 'home'))
  const store = new SqliteStore({ path: join(home, 'readings.db'), kind: 'real', writes: true })
  for (const [bench, instrument] of [
    ['A', 'meter-a'],
    ['B', 'meter-b'],
  ] as const) {
    const wired = { bench, instrument, site: 'S', port: 'p', intervalS: 1, fullScale: null, wired: true }
    store.wire([
      { ...wired, channel: 'dissolved-ozone', unit: 'mg/L' },
      { ...wired, channel: 'fluid-temperature', unit: '°C' },
    ])
  }
  const ledger = new Ledger(join(home, 'ledger.db'), 'real')
  for (const instrument of ['meter-a', 'meter-b']) {
    const data = { ...CALIBRATED, instrument, tau_s: 9, u_tau_s: 1, reference_method: 'indigo' as const }
    ledger.append({ ...newEntry('calibration', -60, data), bench: null, batch: null })
  }
  for (const [fluid, count] of Object.entries(counts) as [Fluid, number][])
    for (const [day, { plan }] of pastBatches()
      .filter((p) => p.plan.settings.fluid === fluid)
      .slice(0, count)
      .entries()) {
      const openedMs = FIRST_MS + day * DAY_MS + HOURS[fluid] * 3_600_000
      writeBatch(
        { store, ledger, zone: 'Europe/Lisbon' },
        {
          ...{ plan, openedMs, untilMs: openedMs + DAY_MS / 2, who: 'Ines' },
        },
      )
    }
  ledger.close()
  store.db.close()
  return home
}

/** Distilled and filtered share a bench: one after the other. */
const HOURS: Readonly<Record<Fluid, number>> = { saline: 0, distilled: 0, filtered: 3 }
