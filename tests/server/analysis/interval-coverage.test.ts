import { describe, expect, it } from 'vitest'
import { CALIBRATED, SCENES, TROUBLES } from '../../bench/interval-scenes.ts'
import { countIntervals, medianOf } from '../../bench/interval-table.ts'

const REPLICATES = 60
/** Of 60 intervals that hold the truth with 95 %, at least 51 do in 997 of 1,000 runs (binomial). */
const LEAST = 51
/** The bench's goal; with 1,000 batches a row 1.00 to 1.22 was seen. */
const WIDEST = 1.25

const scenes = SCENES.filter((s) => ['20 min rise', '40 min decay'].includes(s.name) || s.history === true)
const cases = scenes.flatMap((scene) =>
  TROUBLES.filter((t) => t.lagS === undefined && t.noise.correlationS > 0).map((trouble) => ({
    scene,
    trouble,
    name: `${scene.name}, ${trouble.name}`,
  })),
)

describe('the intervals of a whole batch, through the analysis itself', () => {
  it.each(cases.filter(({ trouble }) => trouble.rounding !== undefined || trouble.missing !== undefined))(
    'hold the truth as often as they say, hardly wider than they must be: $name',
    ({ scene, trouble }) => {
      for (const { about, given, held, widths } of countIntervals(scene, trouble, REPLICATES)) {
        expect(given, `${about}: given`).toBeGreaterThan(0.75 * REPLICATES)
        expect(held, `${about}: held`).toBeGreaterThanOrEqual(LEAST - (REPLICATES - given))
        expect(medianOf(widths), `${about}: width`).toBeLessThan(WIDEST)
      }
    },
  )

  it('are hardly wider than they must be behind a slow probe of known response too', () => {
    const lagged = TROUBLES.find((t) => t.lagS !== undefined)
    const decays = SCENES.filter((s) =>
      ['40 min decay', 'first 10 min of decay, scatter known'].includes(s.name),
    )
    if (lagged === undefined || decays.length !== 2) throw new Error('the bench has other rows now')
    for (const scene of decays)
      for (const { given, held, widths } of countIntervals(scene, lagged, REPLICATES)) {
        expect(given, scene.name).toBe(REPLICATES)
        expect(held, scene.name).toBeGreaterThanOrEqual(LEAST)
        expect(medianOf(widths), scene.name).toBeLessThan(WIDEST)
      }
  })

  it('are not given after three minutes of slow scatter nobody has seen before, calm as some such records look', () => {
    const scene = SCENES.find((s) => s.name === 'first 3 min of decay')
    const lagged = TROUBLES.find((t) => t.lagS !== undefined)
    const longer = SCENES.find((s) => s.name === 'first 5 min of decay')
    if (scene === undefined || longer === undefined || lagged === undefined)
      throw new Error('the bench has other rows now')
    // the transient of a probe of 30 s takes half of the five minutes
    expect(countIntervals(longer, lagged, REPLICATES)[0]?.given).toBe(0)
    const [white, ...slow] = TROUBLES
    for (const trouble of slow)
      expect(countIntervals(scene, trouble, REPLICATES)[0]?.given, trouble.name).toBe(0)
    for (const { given, held } of countIntervals(scene, white ?? slow[0]!, REPLICATES)) {
      expect(given).toBeGreaterThan(0.75 * REPLICATES)
      expect(held).toBeGreaterThanOrEqual(LEAST - (REPLICATES - given))
    }
  })

  it.each(SCENES.slice(0, 2))(
    'hold it with the calibration off by a random draw, when the calibration is in them: $name',
    (scene) => {
      for (const trouble of CALIBRATED)
        for (const { about, given, held } of countIntervals(scene, trouble, REPLICATES)) {
          expect(given, `${trouble.name}, ${about}: given`).toBe(REPLICATES)
          expect(held, `${trouble.name}, ${about}: held`).toBeGreaterThanOrEqual(LEAST)
        }
    },
  )

  it('would hold a plateau or a half-life far too seldom without the calibration in them', () => {
    // 5 % of 20 mg/L is five times the standard error of the fit; 0.2 mg/L at zero moves a half-life by some percent
    for (const scene of SCENES.slice(0, 2))
      for (const trouble of CALIBRATED.slice(0, 1)) {
        const [first] = countIntervals(scene, trouble, REPLICATES, 'type A alone')
        expect(first?.held).toBeLessThan(0.6 * REPLICATES)
      }
  })
})
