import type { Tried, WiringFile } from '../../../server/wire.ts'
import type { FrameHeard } from '../../set-up/heard.ts'
import type { MeterForm } from './meter-form.ts'

export interface MappingProps extends MeterForm {
  readonly frames: readonly FrameHeard[]
  readonly tried: Tried | null
  readonly channels: WiringFile['channels']
}
