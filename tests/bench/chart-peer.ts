import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import type { Page } from 'playwright-core'

const CHART = join(dirname(createRequire(import.meta.url).resolve('chart.js')), 'chart.umd.js')

/** Turns a blank page into the peer: one Chart.js line of so many points, moved on and drawn again once a second. */
export const showPlainChart = async (page: Page, points: number): Promise<void> => {
  await page.goto('about:blank')
  await page.setContent('<div style="height:400px"><canvas></canvas></div>')
  await page.addScriptTag({ content: readFileSync(CHART, 'utf8') })
  await page.evaluate(`{
    const values = Array.from({ length: ${points} }, (_, i) => ({ x: i, y: 20 * (1 - Math.exp(-i / 300)) + Math.random() / 5 }))
    const chart = new Chart(document.querySelector('canvas'), {
      type: 'line',
      data: { datasets: [{ data: values, showLine: false, pointRadius: 2.2 }] },
      options: { animation: false, parsing: false, events: [], maintainAspectRatio: false, scales: { x: { type: 'linear' } } },
    })
    setInterval(() => {
      const held = chart.data.datasets[0].data
      held.push({ x: held.at(-1).x + 1, y: held.at(-1).y })
      held.shift()
      chart.update('none')
    }, 1000)
  }`)
}
