import type { Curves } from '../../server/wire.ts'

interface LegendProps {
  readonly curves: Curves
  readonly calibrated: boolean
}

/** In words beside a sample of each mark; only what the chart shows. */
export const Legend = ({ curves, calibrated }: LegendProps) => (
  <figcaption class="legend">
    <Key mark="points">measured ({calibrated ? 'calibrated' : 'uncalibrated'})</Key>
    <Key mark="cross">measured, set aside</Key>
    {curves.fit.length > 0 && (
      <Key mark="fit">fitted, with its 95 % band; probe response taken out where it is known</Key>
    )}
    {curves.forecast.length > 0 && <Key mark="forecast">forecast, with its 95 % band: not measured</Key>}
    {curves.expectation_band.length > 0 && (
      <Key mark="expectation">{curves.expectation_text ?? 'what the physics expects'}</Key>
    )}
    {curves.target_mg_l !== null && <Key mark="target">the value you set</Key>}
  </figcaption>
)

type Mark = 'points' | 'cross' | 'fit' | 'forecast' | 'expectation' | 'target'

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
