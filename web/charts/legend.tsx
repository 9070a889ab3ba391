import type { Curves } from '../../server/wire.ts'
import { concentration, decimal, type Unit } from '../../server/wording/format.ts'

interface LegendProps {
  readonly curves: Curves
  readonly calibrated: boolean
  readonly metered: boolean
  readonly unit: Unit
  readonly lag_s: number | null | undefined
  readonly set_aside: boolean
}

/** In words beside a sample of each mark; only what the chart shows. */
export const Legend = ({ curves, calibrated, metered, unit, lag_s, set_aside }: LegendProps) => (
  <figcaption class="legend">
    {metered && <Key mark="points">measured ({calibrated ? 'calibrated' : 'uncalibrated'})</Key>}
    {curves.by_hand.length > 0 && (
      <Key mark="by-hand">{curves.spot_mode === true ? 'read one by one' : 'typed in'}</Key>
    )}
    {set_aside && <Key mark="cross">measured, set aside</Key>}
    {curves.fit.length > 0 && <Key mark="fit">fitted, with its 95 % band{besidePoints(lag_s)}</Key>}
    {curves.forecast.length > 0 && <Key mark="forecast">forecast, with its 95 % band: not measured</Key>}
    {curves.expectation_band.length > 0 && (
      <Key mark="expectation">{curves.expectation_text ?? 'what the physics expects'}</Key>
    )}
    {curves.target_mg_l !== null && (
      <Key mark="target">
        the value you set, {concentration(curves.target_mg_l)} {unit}
      </Key>
    )}
  </figcaption>
)

/** Why the line may lie beside the points: a probe follows the fluid late, and the line does not. */
const besidePoints = (lag_s: number | null | undefined): string => {
  if (lag_s === null) return ''
  if (lag_s === undefined) return '; corrected for the probe’s response where that is known'
  return `; corrected for the probe’s ${decimal(lag_s, 0)} s response, so it runs ahead of the points, which are as measured`
}

type Mark = 'points' | 'by-hand' | 'cross' | 'fit' | 'forecast' | 'expectation' | 'target'

const Key = ({ mark, children }: { readonly mark: Mark; readonly children: preact.ComponentChildren }) => (
  <span class="key">
    <svg viewBox="0 0 44 18" width="44" height="18" aria-hidden="true" class={`sample sample-${mark}`}>
      {SAMPLE[mark]}
    </svg>
    <span>{children}</span>
  </span>
)

const SAMPLE: Readonly<Record<Mark, preact.ComponentChildren>> = {
  points: [4, 13, 22, 31, 40].map((x, i) => <circle key={x} cx={x} cy={9 + (i % 2 ? 2 : -2)} r="2" />),
  'by-hand': <path d="M22 1L30 9L22 17L14 9Z" />,
  cross: <path d="M18 5l8 8m0-8l-8 8" />,
  fit: (
    <>
      <rect x="0" y="3" width="44" height="12" />
      <path d="M0 9H44" />
    </>
  ),
  forecast: (
    <>
      <path class="thin" d="M2 16L14 2M12 16L24 2M22 16L34 2M32 16L44 2" />
      <path d="M0 9H44" />
    </>
  ),
  expectation: <rect x="1" y="2" width="42" height="14" />,
  target: <path d="M0 9H44" />,
}
