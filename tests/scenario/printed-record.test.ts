import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { v7 as uuidv7 } from 'uuid'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Acted, Problem } from '../../server/wire.ts'
import { person } from '../support/api.ts'
import { makeHome, tcpPort, wiring } from '../support/home.ts'
import { endAll, runPart, runToEnd } from '../support/program.ts'

/** Read with the tools of another project (poppler, zbar): what they see, a printer and a scanner see. */
describe('a record on paper', { timeout: 60_000 }, () => {
  let address: string
  let home: string
  let batch: string
  let drawn: Acted
  const folder = mkdtempSync(join(tmpdir(), 'spargewatch-print-'))

  beforeAll(async () => {
    home = makeHome(wiring({ port: tcpPort(9), benches: ['A'] }), join(folder, 'home'))
    address = (await runPart(['serve'], { home }).started()).address
    const ines = person(address, 'Iñes Łukasz Дмитрий')
    batch = await ines.opens({
      kind: 'batch-opened',
      data: {
        fluid: 'saline',
        volume_ml: 250,
        lot: 'L 4471',
        target_mg_l: 15,
        gas: { ug_per_ml: 60, reference: 'normal-0c-101kpa' },
        measuring_place: 'companion-flask',
        purge: 'none',
      },
    })
    const minutesAgo = (n: number) => ({ happened_at: new Date(Date.now() - n * 60_000).toISOString() })
    await ines.does(batch, { kind: 'ozone-on' }, minutesAgo(9))
    await ines.does(batch, { kind: 'ozone-off' }, minutesAgo(4))
    await ines.does(batch, { kind: 'flow-off' }, minutesAgo(4))
    for (const [minute, value] of [
      [3, 18.2],
      [2, 17.5],
      [1, 17.1],
    ] as const)
      await ines.does(
        batch,
        {
          kind: 'reading-by-hand',
          data: { quantity: 'dissolved-ozone', value, u_percent: 5, method: 'test kit' },
        },
        minutesAgo(minute),
      )
    drawn = await ines.does(batch, { kind: 'drawn-up', data: { ml: 20, opaque_reference: 'R-12' } })
    for (let i = 0; i < 60; i++)
      await ines.does(batch, {
        kind: 'note',
        data: { text: `note ${i}: ≥ 5 °C, nothing unusual, looked at twice` },
      })
  })
  afterAll(async () => {
    await endAll()
    rmSync(folder, { recursive: true, force: true })
  })

  const fetched = async (path: string): Promise<{ type: string; file: string }> => {
    const response = await fetch(`${address}/api/batches/${batch}/${path}`)
    expect(response.status).toBe(200)
    const file = join(folder, `${uuidv7()}.pdf`)
    writeFileSync(file, Buffer.from(await response.arrayBuffer()))
    return { type: response.headers.get('content-type') ?? '', file }
  }
  const tool = (command: string, ...args: string[]): string =>
    execFileSync(command, args, { encoding: 'utf8' })

  it('holds what the screen holds: names in every script, every entry, every caution, on every page its head', async () => {
    const { type, file } = await fetched('record.pdf')
    expect(type).toBe('application/pdf')
    const text = tool('pdftotext', '-layout', file, '-')
    for (const words of [
      'Iñes Łukasz Дмитрий',
      'lot L 4471',
      'Found (fitted, with 95 % intervals)',
      '60 µg/mL per normal mL',
      '20 mL, 230 mL left, reference R-12',
      'note 0: ≥ 5 °C',
      'note 59:',
      'Ozone must not be breathed',
      'Not a medical device',
    ])
      expect(text).toContain(words)
    const pages = text.split('\f').filter((page) => page.trim() !== '')
    expect(pages.length).toBeGreaterThan(1)
    for (const [i, page] of pages.entries()) {
      expect(page).toContain(`page ${i + 1} of ${pages.length}`)
      expect(page).toContain('record of batch A-')
      expect(page).toContain('Ledger: ')
    }
  })

  it('comes on the paper asked for, with its fonts inside and no picture that would blur', async () => {
    const a4 = (await fetched('record.pdf?paper=a4')).file
    const letter = (await fetched('record.pdf?paper=letter')).file
    // ISO 216: A4 is 210 × 297 mm; ANSI/ASME Y14.1: Letter is 8.5 × 11 inches; in points of 1/72 inch
    expect(tool('pdfinfo', a4)).toMatch(/Page size:\s+595\.28 x 841\.89 pts \(A4\)/)
    expect(tool('pdfinfo', letter)).toMatch(/Page size:\s+612 x 792 pts \(letter\)/)
    const fonts = tool('pdffonts', a4).trim().split('\n').slice(2)
    expect(fonts.length).toBeGreaterThan(1)
    for (const font of fonts) expect(font).toMatch(/DejaVu.*\byes\s+yes\s+yes\b/)
    expect(tool('pdfimages', '-list', a4).trim().split('\n')).toHaveLength(2)
  })

  it('carries the line that the ledger is verified against', async () => {
    const text = tool('pdftotext', (await fetched('record.pdf')).file, '-').replaceAll('\n', ' ')
    const anchor = /--anchor\s+(\d+):\s*([0-9a-f]{64})/.exec(text)
    expect(anchor).not.toBeNull()
    const verified = await runToEnd(['ledger', 'verify', '--anchor', `${anchor?.[1]}:${anchor?.[2]}`], {
      home,
    })
    expect(verified).toMatchObject({ code: 0, stderr: '' })
    const wrong = await runToEnd(['ledger', 'verify', '--anchor', `${anchor?.[1]}:${'0'.repeat(64)}`], {
      home,
    })
    expect(wrong.code).not.toBe(0)
  })

  it('has a label for a draw-up: 62 × 40 mm, the value at draw, and a code that a scanner reads as the address', async () => {
    const { file } = await fetched(`label.pdf?entry=${drawn.entry.id}`)
    expect(tool('pdfinfo', file)).toMatch(/Page size:\s+175\.7\d* x 113\.3\d* pts/)
    expect(tool('pdfinfo', file)).toMatch(/Pages:\s+1\n/)
    const text = tool('pdftotext', '-layout', file, '-')
    expect(text).toContain('Reference R-12')
    expect(text).toMatch(/at draw, \d\d:\d\d\. It falls from then on\./)
    expect(text).toMatch(/\d+\.\d µg\/mL|Dissolved ozone not known/)
    tool('pdftoppm', '-r', '300', '-png', '-singlefile', file, join(folder, 'label'))
    expect(tool('zbarimg', '--nodbus', '-q', '--raw', join(folder, 'label.png')).trim()).toBe(
      `${address}/batches/${batch}`,
    )
  })

  it('has no label for what is no draw-up, and refuses a paper that there is not', async () => {
    const problem = async (path: string): Promise<Problem> =>
      (await (await fetch(`${address}/api/batches/${batch}/${path}`)).json()) as Problem
    expect(await problem(`label.pdf?entry=${uuidv7()}`)).toMatchObject({
      status: 404,
      detail: expect.stringContaining('is no draw-up of this batch'),
    })
    expect(await problem('record.pdf?paper=a0')).toMatchObject({ status: 400 })
    expect(await problem('label.pdf')).toMatchObject({ status: 400 })
  })
})
