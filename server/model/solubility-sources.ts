import { type Celsius, toKelvin } from '../../ingest/units.ts'
import { waterMolarity } from './water.ts'

/** Molar gas constant, J/mol/K: exact in the SI since 2019. */
export const GAS_CONSTANT = 8.314462618
const ATMOSPHERE_PA = 101325

/**
 * One published correlation for the solubility ratio S of ozone in pure water: mass per volume in the liquid over
 * mass per volume in the gas at equilibrium, both at temperature t (Ostwald coefficient, no unit).
 */
export interface SolubilitySource {
  readonly id: string
  readonly ratio: (t: Celsius) => number
  readonly validC: readonly [number, number]
  /** `core`: modern and mutually consistent; `wide`: credible but outlying; `shown`: listed, in no band. */
  readonly use: 'core' | 'wide' | 'shown'
  readonly source: string
}

/** S = H_cp·R·T with H_cp(T) = h25·exp[b(1/T − 1/298.15)], h25 in mol m⁻³ Pa⁻¹, b in K. */
const fromHenry =
  (h25: number, b: number) =>
  (t: Celsius): number => {
    const kelvins = toKelvin(t)
    return h25 * Math.exp(b * (1 / kelvins - 1 / 298.15)) * GAS_CONSTANT * kelvins
  }

/** S from a Henry coefficient in atm per mole fraction: S = c_w·R·T/(H·101325). */
const fromMoleFraction =
  (henryAtm: (t: Celsius) => number) =>
  (t: Celsius): number =>
    (waterMolarity(t) * GAS_CONSTANT * toKelvin(t)) / (henryAtm(t) * ATMOSPHERE_PA)

/** H = 3.842e7·[OH⁻]^0.035·exp(−2428/T); pKw = 4470.99/T − 6.0875 + 0.01706 T. */
const rothSullivan = (ph: number) =>
  fromMoleFraction((t) => {
    const kelvins = toKelvin(t)
    const pKw = 4470.99 / kelvins - 6.0875 + 0.01706 * kelvins
    return 3.842e7 * 10 ** (0.035 * (ph - pKw)) * Math.exp(-2428 / kelvins)
  })

/** ln H = 16.808 − 2297/T + 2.659 µ − 688 µ/T, H in kPa·L/mol; µ is the ionic strength in mol/L. S = R·T/H. */
export const kosakChanningHelz =
  (ionicStrength: number) =>
  (t: Celsius): number => {
    const kelvins = toKelvin(t)
    const lnH = 16.808 - 2297 / kelvins + ionicStrength * (2.659 - 688 / kelvins)
    return (GAS_CONSTANT * kelvins) / Math.exp(lnH)
  }

const SANDER = 'Sander, Atmos. Chem. Phys. 23, 10901 (2023)'

export const sander: SolubilitySource = {
  id: 'SAN',
  ratio: fromHenry(1.0e-4, 2800),
  validC: [0, 30],
  use: 'core',
  source: `${SANDER}, evaluated values`,
}

export const solubilitySources: readonly SolubilitySource[] = [
  sander,
  {
    id: 'KCH',
    ratio: kosakChanningHelz(0),
    validC: [5, 30],
    use: 'core',
    source: 'Kosak-Channing & Helz, Environ. Sci. Technol. 17, 145 (1983); equation from memory',
  },
  {
    id: 'RS pH 7',
    ratio: rothSullivan(7),
    validC: [3.5, 60],
    use: 'wide',
    source: 'Roth & Sullivan, Ind. Eng. Chem. Fundam. 20, 137 (1981) at pH 7; equation from memory',
  },
  {
    id: 'RS pH 5.5',
    ratio: rothSullivan(5.5),
    validC: [3.5, 60],
    use: 'core',
    source: 'Roth & Sullivan, Ind. Eng. Chem. Fundam. 20, 137 (1981) at pH 5.5; equation from memory',
  },
  {
    id: 'RSS',
    ratio: fromHenry(9.9e-5, 2600),
    validC: [5, 25],
    use: 'core',
    source: 'Rischbieter, Stein & Schumpe, J. Chem. Eng. Data 45, 338 (2000)',
  },
  {
    id: 'MOR',
    ratio: (t) => 10 ** (-0.25 - 0.013 * t),
    validC: [0, 30],
    use: 'core',
    source: 'Morris, Ozone News 1, 14 (1988); equation from memory',
  },
  {
    id: 'IUP',
    ratio: fromMoleFraction((t) => Math.exp(14.964 - 1965.31 / toKelvin(t))),
    validC: [4, 20],
    use: 'wide',
    source: 'Battino (ed.), IUPAC Solubility Data Series 7 (1981); equation from memory',
  },
  {
    id: 'BIN',
    ratio: fromHenry(7.6e-5, 3700),
    validC: [0, 40],
    use: 'wide',
    source: `Biń (2005) as listed by ${SANDER}`,
  },
  {
    id: 'RJP',
    ratio: (t) => Math.exp(-9.445 + 2406 / toKelvin(t)),
    validC: [20, 40],
    use: 'core',
    source: 'Russ. J. Phys. Chem. A 93 (2019), doi 10.1134/S0036024419070148',
  },
  {
    id: 'LAN fit',
    ratio: (t) => Math.exp(-0.45 - 0.043 * t),
    validC: [0, 35],
    use: 'shown',
    source:
      'Langlais, Reckhow & Brink (eds), Ozone in Water Treatment (1991); its own table disagrees with this fit',
  },
  {
    id: 'Andreozzi',
    ratio: fromHenry(9.2e-5, 2600),
    validC: [18, 42],
    use: 'wide',
    source: `Andreozzi (1996) as listed by ${SANDER}`,
  },
  {
    id: 'Sotelo',
    ratio: fromHenry(1.2e-4, 1400),
    validC: [0, 20],
    use: 'wide',
    source: `Sotelo (1989) as listed by ${SANDER}`,
  },
  {
    id: 'Warneck',
    ratio: fromHenry(1.1e-4, 2400),
    validC: [5, 30],
    use: 'wide',
    source: `Warneck (2003) as listed by ${SANDER}`,
  },
  {
    id: 'Wilhelm',
    ratio: fromHenry(1.3e-4, 2000),
    validC: [4, 20],
    use: 'shown',
    source: `Wilhelm, Battino & Wilcock (1977) as listed by ${SANDER}; the IUPAC volume supersedes it`,
  },
]
