import { describe, expect, it } from 'vitest'
import { ledgerFile } from '../../../server/home-files.ts'
import { Ledger } from '../../../server/ledger/ledger.ts'
import { prepareDemo } from '../../../server/seed/prepare-demo.ts'
import { trialsOf } from '../../../server/trial/trials-of.ts'
import { temporaryFolder } from '../../support/temporary-folder.ts'

describe('the invented trials', () => {
  it('are planned before their batches: one opened for it, one joined afterwards with the reason', async () => {
    const home = temporaryFolder()
    await prepareDemo(home)
    const ledger = new Ledger(ledgerFile(home), 'simulated')
    try {
      const [prep, fluids] = trialsOf(ledger)
      const opened = ledger.ofKind('batch-opened')
      expect(prep).toMatchObject({ closed: null, plan: { kind: 'prep-time', prep_min: 7 } })
      expect(prep?.members.length).toBe(12)
      const own = opened.filter((e) => e.data.trial === prep?.id)
      expect(own.length).toBe(12)
      expect(own.every((e) => e.happened_at > (prep?.planned.at ?? '9999'))).toBe(true)
      expect(fluids).toMatchObject({ closed: null, plan: { kind: 'fluid-comparison' } })
      expect(fluids?.members.length).toBe(16)
      for (const e of ledger.ofKind('trial-batch-joined')) expect(e.why).toMatch(/settings of the plan/)
    } finally {
      ledger.close()
    }
  })
})
