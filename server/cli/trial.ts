import { writeFileSync } from 'node:fs'
import { type Command, Option } from 'commander'
import { liveEstimate } from '../analysis/live.ts'
import { readSurroundings } from '../config.ts'
import { messageOf, ServerError } from '../errors.ts'
import { programVersion } from '../home-files.ts'
import { BatchReports } from '../report/batch-report.ts'
import { keptDocuments, openResults } from '../report/kept-document.ts'
import { printTrial } from '../report/print/trial-print.ts'
import { trialCsv } from '../report/trial-csv.ts'
import { trialCurvesCsv } from '../report/trial-curves-csv.ts'
import { rulesFile, rulesFrom } from '../rules-file.ts'
import { openKeptFacts } from '../trial/kept-facts.ts'
import { trialCurvesOf } from '../trial/trial-curves.ts'
import { type Progress, TrialReports } from '../trial/trial-reports.ts'
import { trialsOf } from '../trial/trials-of.ts'
import type { TrialCurves, TrialView } from '../wire.ts'
import { siteClock } from '../wording/site-clock.ts'
import { TRIAL_ANSWER } from '../wording/trial-words.ts'
import { configOf, openLedgerOf, openReadingsOf } from './open-home.ts'

interface Options {
  readonly pdf?: string
  readonly csv?: string
  readonly curves?: string
  readonly paper: 'a4' | 'letter'
}

export const registerTrial = (program: Command): void => {
  program
    .command('trial')
    .description('trials of prep times and fluids')
    .command('report')
    .description('what a trial came to: in words, or as a PDF document or CSV')
    .argument('<trial>', 'id or title')
    .option('--pdf <file>', 'write the report as a PDF document')
    .option('--csv <file>', 'write the batches as CSV')
    .option('--curves <file>', 'write fitted curves, bands and residuals as CSV')
    .addOption(new Option('--paper <size>', 'of the PDF document').choices(['a4', 'letter']).default('a4'))
    .action(report)
}

const report = async (wanted: string, { pdf, csv, curves: curvesFile, paper }: Options): Promise<void> => {
  const { home } = readSurroundings()
  const config = configOf(home)
  const { trial, curves } = await worked(home, wanted)
  if (csv !== undefined) writeFileSync(csv, [...trialCsv(trial)].join(''))
  if (curvesFile !== undefined) writeFileSync(curvesFile, [...trialCurvesCsv(trial, curves)].join(''))
  if (pdf !== undefined) {
    const at = new Date().toISOString()
    const print = { trial, curves, clock: siteClock(config.zone), site: config.site, paper, at }
    writeFileSync(pdf, await printTrial(print))
  }
  for (const line of wordsOf(trial)) console.log(line)
}

const wordsOf = ({ title, simulated, result, with_excluded: all, to_do }: TrialView): string[] => [
  `${title}${simulated ? ' (SIMULATED)' : ''}: ${TRIAL_ANSWER[result.answer]}.`,
  result.sentence,
  ...to_do.map((what) => `To do: ${what}`),
  ...(all ? [`With the batches that were left out: ${TRIAL_ANSWER[all.answer]}. ${all.sentence}`] : []),
  ...result.cautions.map((caution) => `- ${caution}`),
]

interface Worked {
  readonly trial: TrialView
  readonly curves: TrialCurves
}

const worked = async (home: string, wanted: string): Promise<Worked> => {
  const config = configOf(home)
  const store = openReadingsOf(home, false)
  const ledger = openLedgerOf(home)
  const results = openResults(config, false)
  const tellTrouble = (error: unknown) => void process.stderr.write(`spargewatch: ${messageOf(error)}\n`)
  const kept = openKeptFacts(home, config.simulated ? 'simulated' : 'real', tellTrouble)
  try {
    const all = trialsOf(ledger)
    const trial = all.findLast((t) => t.id === wanted.toLowerCase() || t.plan.title === wanted)
    if (!trial)
      throw new ServerError('not-found', `no trial ${wanted} in this home`, { fix: 'see Trials on screen' })
    const { rules } = rulesFrom(rulesFile(home))
    const rulesOfThumb = () => rules
    const simulated = new Set(config.benches.filter((b) => b.simulated).map((b) => b.id))
    const reports = new BatchReports({
      ...{ store, ledger, estimator: liveEstimate, rulesOfThumb, nowMs: Date.now },
      programVersion: programVersion(),
      simulated: (bench) => config.simulated || simulated.has(bench),
      ...(results ? { kept: keptDocuments(results, ledger, tellTrouble) } : {}),
    })
    const parts = { ledger, reports, rulesOfThumb, zone: config.zone, version: programVersion(), kept }
    const trials = new TrialReports(parts)
    const view = trials.view(trial, all, tellProgress)
    return { trial: view, curves: trialCurvesOf(trial, view, trials) }
  } finally {
    kept.close()
    results?.close()
    ledger.close()
    await store.close()
  }
}

const TOLD_EVERY = 20

/** A trial of hundreds takes a while. */
const tellProgress = ({ done, of }: Progress): void => {
  if (done > 0 && done % TOLD_EVERY === 0)
    process.stderr.write(`spargewatch: worked out ${done} of ${of} batches\n`)
}
