import type { Batch } from './batch.ts'

/** How long ozone went through the fluid up to a moment, every bubbling counted, minutes. */
export const ozoneMinutes = (batch: Pick<Batch, 'ozoneOnAt' | 'ozoneOffAt'>, nowMs: number): number =>
  batch.ozoneOnAt.reduce((sum, on) => {
    const off = batch.ozoneOffAt.find((at) => at >= on)
    return sum + (Math.max(Date.parse(on), off ? Date.parse(off) : nowMs) - Date.parse(on)) / 60_000
  }, 0)

/**
 * How often the fill was bubbled again: ozone on after the flow had been off. Ozone back on during the purge is an
 * interruption of the same bubbling; its minutes count all the same.
 */
export const timesBubbledAgain = ({ gas }: Pick<Batch, 'gas'>): number =>
  gas.filter(({ kind }, i) => kind === 'bubbling' && gas[i - 1]?.kind === 'standing').length

/**
 * Why this fill may not be bubbled again, in one sentence; undefined when the batch's method sheet allows it: so many
 * times more, and no longer in all than so many minutes of ozone, the first bubbling included.
 */
export const whyNotAgain = (batch: Batch): string | undefined => {
  const rule = batch.settings.from_sheet?.bubble_again
  if (!rule)
    return 'bubbling this fill again is not allowed: no approved method sheet of this batch permits it; discard and open a new batch'
  const times = timesBubbledAgain(batch)
  if (times >= rule.most_times)
    return `this fill was bubbled again ${times} of ${rule.most_times} times its method sheet allows; discard and open a new batch`
  const minutes = ozoneMinutes(batch, Date.parse(batch.ozoneOffAt.at(-1) ?? batch.openedAt))
  return minutes >= rule.most_ozone_min
    ? `ozone was on for ${minutes.toFixed(1)} of the ${rule.most_ozone_min} min its method sheet allows; discard and open a new batch`
    : undefined
}
