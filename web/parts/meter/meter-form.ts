import type { MeterDraft } from '../../set-up/draft.ts'

/** What every part of the set-up of a meter shows and changes. */
export interface MeterForm {
  readonly draft: MeterDraft
  readonly set: (change: Partial<MeterDraft>) => void
}
