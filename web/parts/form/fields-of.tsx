import { Choice, type ChoiceProps, Field, type FieldProps } from './field.tsx'

type Given = 'label' | 'value' | 'onValue'

/** Fields of a form whose text is one record: each named by its key. */
export const fieldsOf = <K extends string>(
  text: Readonly<Record<K, string>>,
  setText: (text: Readonly<Record<K, string>>) => void,
) => {
  const set = (key: K) => (value: string) => setText({ ...text, [key]: value })
  const typed = (label: string, key: K, more: Omit<FieldProps, Given> = {}) => (
    <Field label={label} value={text[key]} onValue={set(key)} {...more} />
  )
  return {
    set,
    typed,
    number: (label: string, key: K, more: Omit<FieldProps, Given> = {}) =>
      typed(label, key, { kind: 'number', ...more }),
    choice: (
      label: string,
      key: K,
      options: ChoiceProps['options'],
      more: Omit<ChoiceProps, Given | 'options'> = {},
    ) => <Choice label={label} value={text[key]} onValue={set(key)} options={options} {...more} />,
  }
}
