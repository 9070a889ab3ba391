import type { ModbusSpeech, Speech } from './config-port.ts'
import { createAsking } from './frame/asking.ts'
import { type Conversation, listenOnly } from './frame/conversation.ts'
import { type Ask, createLineAnswers, type LineQuestion } from './frame/line-answer.ts'
import { createLineFramer } from './frame/line-framer.ts'
import { createModbusFramer } from './frame/modbus-framer.ts'
import { modbusQuestions } from './frame/modbus-questions.ts'
import type { Question } from './frame/question-schedule.ts'
import { registersOf } from './reading/register-value.ts'

/** How a port and its instruments talk: the meter by itself, or question and answer. */
export const conversationOf = (speech: Speech): Conversation => {
  if (speech.speaks === 'modbus-rtu')
    return createAsking(questionsOf(speech), createModbusFramer(), speech.pauseMs)
  const framer = createLineFramer(speech.format)
  const questions = speech.instruments.flatMap(({ instrument: by, ask, intervalS }) =>
    ask === undefined ? [] : [lineQuestion(by, ask, intervalS * 1000)],
  )
  return questions.length === 0 ? listenOnly(framer) : createAsking(questions, createLineAnswers(framer))
}

const questionsOf = ({ instruments, patience }: ModbusSpeech) =>
  modbusQuestions(
    instruments.map(({ instrument: by, address, intervalS, channels }) => ({
      by,
      address,
      everyMs: intervalS * 1000,
      wanted: channels.map((c) => ({ table: c.table, start: c.register, count: registersOf(c.type) })),
    })),
    patience,
  )

/** Lines do not name whom they answer, so that all questions of a port are one group. */
const lineQuestion = (
  by: string,
  { text, timeoutMs, retries }: Ask,
  everyMs: number,
): Question<LineQuestion> => ({
  to: by,
  group: 'line',
  about: { by, text },
  bytes: Buffer.from(text, 'latin1'),
  everyMs,
  timeoutMs,
  retries,
  quietMs: timeoutMs,
})
