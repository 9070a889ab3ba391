import { describe, expect, it } from 'vitest'
import { openScreen, seen, showState } from './screen.ts'

const screen = openScreen()

describe('the set-up of a meter in the demonstration', () => {
  it('says what saving does, what keeps a device shut and which group to join, and that a cable must stay', async () => {
    showState(screen.server, 'standing')
    await screen.page.goto(`${screen.server.url}/set-up`)
    await screen.page.getByRole('heading', { name: 'Set up a meter' }).waitFor()
    const words = await seen(screen.page.locator('main'))
    expect(words).toMatch(/This is the demonstration\. Saving makes the wiring of your own clinic/)
    expect(words).toMatch(/At the next start your clinic opens instead, with no batch in it/)
    expect(words).toMatch(/runs as clinic and may not open it.*sudo usermod -aG dialout clinic/s)
    expect(words).toMatch(/Keep the cable in this socket/)
    expect(words).toMatch(/Nothing about it stays the same/)
    expect(words).toMatch(/wired: meter-a/)
    expect(words).toMatch(/connect ECONNREFUSED 192\.0\.2\.7:4001/)
    expect(words).toMatch(/Nothing can be listened to: the logging program is not running/)
    expect(words).toMatch(/Makes the file .*spargewatch\.yaml\./)
    expect(words, 'the batches of the demonstration are none of the clinic').not.toMatch(/A batch is open/)
    await screen.page.getByRole('radio', { name: /ttyUSB1/ }).check()
    await screen.page.getByText(/name of the clinic needs/).waitFor()
    expect(await screen.page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true)
  })
})
