/**
 * Seeded random numbers of the simulator's own, so that a seed gives the same readings on every run.
 * Generator: xoshiro128** 1.1, Blackman & Vigna, "Scrambled linear pseudorandom number generators",
 * ACM Trans. Math. Softw. 47 (2021) 36; period 2^128 − 1; not for secrets.
 */
export interface Random {
  /** A whole number, 0 to 2^32 − 1. */
  next32(): number
  /** Uniform in (0, 1): neither end, so that its logarithm is finite. */
  uniform(): number
  /** Normal with mean 0 and standard deviation 1. */
  normal(): number
}

export type RandomState = readonly [number, number, number, number]

export const createRandom = (seed: number): Random => randomFromState(spreadSeed(seed))

export const randomFromState = (state: RandomState): Random => {
  let [a, b, c, d] = state
  const next32 = (): number => {
    const result = Math.imul(rotateLeft(Math.imul(b, 5), 7), 9) >>> 0
    const shifted = b << 9
    c ^= a
    d ^= b
    b ^= c
    a ^= d
    c ^= shifted
    d = rotateLeft(d, 11)
    return result
  }
  const uniform = () => (next32() + 0.5) / 2 ** 32
  return { next32, uniform, normal: () => normalFrom(uniform(), uniform()) }
}

/** Box & Muller, Ann. Math. Stat. 29 (1958) 610: two uniforms give a normal. The second one is not kept: no hidden state. */
const normalFrom = (u1: number, u2: number): number =>
  Math.sqrt(-2 * Math.log(u1)) * Math.cos(2 * Math.PI * u2)

const rotateLeft = (x: number, bits: number): number => (x << bits) | (x >>> (32 - bits))

/**
 * Spreads a seed over the four state words with the 32-bit finaliser of MurmurHash3 on a Weyl sequence
 * (the SplitMix scheme: Steele, Lea & Flood, OOPSLA 2014): near seeds give unlike states, and never all zeros.
 */
const spreadSeed = (seed: number): RandomState => [
  mixed(seed, 1),
  mixed(seed, 2),
  mixed(seed, 3),
  mixed(seed, 4),
]

const mixed = (seed: number, word: number): number => {
  let z = (seed + Math.imul(0x9e3779b9, word)) | 0
  z = Math.imul(z ^ (z >>> 16), 0x85ebca6b)
  z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35)
  return z ^ (z >>> 16)
}
