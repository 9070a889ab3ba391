import { v7 as uuidv7 } from 'uuid'
import type { Act } from '../../server/wire.ts'

const OPENING: Act['entry'] = {
  kind: 'batch-opened',
  data: {
    fluid: 'saline',
    volume_ml: 250,
    target_mg_l: 15,
    gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
    flow_ml_per_min: 500,
    measuring_place: 'companion-flask',
    purge: 'none',
  },
}

/** Opens a batch at a bench and begins to bubble, both now or both then. */
export const openBatch = async (address: string, bench: string, at?: Date): Promise<void> => {
  const batch = uuidv7()
  const post = async (entry: Act['entry'], expectedSeq: number): Promise<number> => {
    const happened = at === undefined ? {} : { happened_at: at.toISOString() }
    const body: Act = { id: uuidv7(), bench, who: 'bench', expected_seq: expectedSeq, entry, ...happened }
    const answer = await fetch(`${address}/api/batches/${batch}/entries`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    })
    if (!answer.ok) throw new Error(await answer.text())
    return ((await answer.json()) as { head: { seq: number } }).head.seq
  }
  await post({ kind: 'ozone-on' }, await post(OPENING, 0))
}
