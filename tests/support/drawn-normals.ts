/** Standard normal numbers, the same for each seed (Box and Muller on a linear congruence). */
export const drawnNormals = (seed: number) => {
  let state = seed
  const next = () => {
    state = (1_664_525 * state + 1_013_904_223) % 2 ** 32
    return (state + 1) / (2 ** 32 + 1)
  }
  return () => Math.sqrt(-2 * Math.log(next())) * Math.cos(2 * Math.PI * next())
}
