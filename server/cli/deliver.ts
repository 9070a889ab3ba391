import type { Command } from 'commander'
import { v7 as uuidv7 } from 'uuid'
import type { Receiver } from '../../ingest/config-delivery.ts'
import { readDelivery } from '../../ingest/read-delivery.ts'
import { readServerConfig, readSurroundings } from '../config.ts'
import { ServerError } from '../errors.ts'
import { testMessage } from '../notify/message.ts'
import type { Outcome } from '../notify/outcome.ts'
import { createSender } from '../notify/sender.ts'
import { postSigned } from '../notify/webhook.ts'

interface Options {
  readonly try?: string | true
}

export const registerDeliver = (program: Command): void => {
  program
    .command('deliver')
    .description(
      'tell of alarms elsewhere: send a test message to those who are to be told, and say what came of it',
    )
    .requiredOption(
      '--try [receiver]',
      'to this receiver only; without a name to all, and a heartbeat where one is set up',
    )
    .action(async (options: Options) => {
      const failed = await tryOut(
        readSurroundings().home,
        options.try === true ? null : (options.try ?? null),
      )
      if (failed > 0) process.exitCode = 1
    })
}

const WORDS: Readonly<Record<Outcome['kind'], string>> = {
  delivered: 'delivered',
  refused: 'REFUSED for good',
  later: 'put off; an alarm would be tried again',
  unreachable: 'NOT REACHED; an alarm would be tried again',
  'not-let-in': 'NOT LET IN; mend the settings or secrets',
}

/** How many it did not get to. Nothing of it goes into the list of deliveries. */
const tryOut = async (home: string, only: string | null): Promise<number> => {
  const config = readServerConfig(home)
  const delivery = readDelivery(home)
  if (delivery === null)
    throw new ServerError('bad-request', 'nobody is to be told: spargewatch.yaml has no delivery', {
      fix: 'see README, Being told elsewhere',
    })
  const { settings, secrets } = delivery
  const send = createSender(settings, secrets)
  let failed = 0
  for (const receiver of chosen(settings.receivers, only)) {
    const id = uuidv7()
    const nowMs = Date.now()
    const message = testMessage(id, config, config.simulated, nowMs)
    failed += told(receiver.name, await send(receiver, message, { id, inReplyTo: null, nowMs }))
  }
  if (only === null && settings.heartbeat !== null) {
    const { url } = settings.heartbeat
    const body = { schema: 'spargewatch.heartbeat/1', site: config.site, test: true }
    failed += told(
      'heartbeat',
      await postSigned({ url, secret: secrets.heartbeat ?? '', id: uuidv7(), body, nowMs: Date.now() }),
    )
  }
  return failed
}

const chosen = (receivers: readonly Receiver[], only: string | null): readonly Receiver[] => {
  if (only === null) return receivers
  const found = receivers.filter(({ name }) => name === only)
  if (found.length > 0) return found
  throw new ServerError('bad-request', `there is no receiver "${only}"`, {
    fix: `take one of: ${receivers.map(({ name }) => name).join(', ') || '(none)'}`,
  })
}

const told = (name: string, outcome: Outcome): 0 | 1 => {
  const words = outcome.kind === 'delivered' ? outcome.words : outcome.why
  console.log(`${name}: ${WORDS[outcome.kind]}${words === null || words === '' ? '' : ` (${words})`}`)
  return outcome.kind === 'delivered' ? 0 : 1
}
