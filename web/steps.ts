import type { BatchHead, Phase } from '../server/wire.ts'

/** The step list beside a batch. General words; a clinic's own method sheet and the equipment's instructions win. */
export interface Step {
  readonly step: string
  readonly text: string
  readonly during: Phase['kind']
}

export type SheetStep = Step & { readonly during: 'set-up' | 'bubbling' | 'purge' | 'standing' }

export const stepsFor = (batch: BatchHead): readonly Step[] =>
  batch.method_sheet?.steps ?? generalSteps(batch)

/** Where no method sheet says otherwise. */
export const generalSteps = (
  batch: Pick<BatchHead, 'measuring_place'> & { readonly gas: { readonly ug_per_ml: number } | null },
): readonly SheetStep[] => [
  step(
    'extraction-on',
    'set-up',
    'Extraction or ventilation is running; the destruct is on the exhaust and dry.',
  ),
  step(
    'exhaust-open',
    'set-up',
    'The exhaust is open; filter and check valve are in place; the flask is not above the generator.',
  ),
  step('no-flame', 'set-up', 'No flame, no oil or grease near the oxygen.'),
  ...(batch.measuring_place === 'in-the-flask' || batch.measuring_place === 'dipped'
    ? [step('probe-allowed', 'set-up', 'Local rules allow this probe in the flask.')]
    : []),
  step('gas-set', 'set-up', `${gasText(batch)} is set on the generator.`),
  step('stay', 'bubbling', 'Somebody stays with the batch.'),
  step(
    'tube-clear',
    'purge',
    'Tube clear of the fluid, or disconnected at the flask, while gas still flows; then the flow is shut.',
  ),
  step('read-cautions', 'standing', 'The cautions about use have been read before drawing up.'),
  step('discard-extraction', 'standing', 'Rest discarded under extraction, away from people and animals.'),
]

const step = (name: string, during: SheetStep['during'], text: string): SheetStep => ({
  step: name,
  during,
  text,
})

const gasText = ({ gas }: Parameters<typeof generalSteps>[0]): string =>
  gas === null ? 'The gas value in the method' : `Gas ${gas.ug_per_ml} µg/mL`
