/** Colours of the chart, read from the page's own custom properties so that one stylesheet decides. */
export interface ChartLook {
  readonly ink: string
  readonly soft: string
  readonly rule: string
  readonly sheet: string
  readonly fit: string
  readonly fitBand: string
  readonly forecast: string
  readonly expectation: string
  readonly font: string
}

export const chartLook = (element: HTMLElement): ChartLook => {
  const style = getComputedStyle(element)
  const of = (name: string) => style.getPropertyValue(name).trim()
  return {
    ink: of('--ink'),
    soft: of('--ink-soft'),
    rule: of('--rule'),
    sheet: of('--sheet'),
    fit: of('--fit'),
    fitBand: of('--fit-band'),
    forecast: of('--forecast'),
    expectation: of('--expectation'),
    font: of('--sans'),
  }
}

/** Diagonal hatching, which stays apart from a plain tint on a grey print. */
export const hatch = (colour: string): CanvasPattern | string => {
  const tile = document.createElement('canvas')
  tile.width = 8
  tile.height = 8
  const draw = tile.getContext('2d')
  if (draw === null) return 'transparent'
  draw.strokeStyle = colour
  draw.lineWidth = 1.2
  draw.beginPath()
  for (const from of [-8, 0, 8]) {
    draw.moveTo(from, 8)
    draw.lineTo(from + 8, 0)
  }
  draw.stroke()
  return draw.createPattern(tile, 'repeat') ?? 'transparent'
}
