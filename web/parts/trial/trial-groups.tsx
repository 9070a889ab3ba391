import { FLUID } from '../../../server/wording/words.ts'
import { EMPTY_GROUP, type GroupText, type TrialForm } from '../../words/trial-text.ts'
import { Fieldset } from '../form/field.tsx'
import { fieldsOf } from '../form/fields-of.tsx'

interface GroupsProps {
  readonly form: TrialForm
  readonly setForm: (form: TrialForm) => void
}

const MOST_GROUPS = 6

/** What is compared: two to six fluids, or lots of one. */
export const TrialGroups = ({ form, setForm }: GroupsProps) => {
  const { groups } = form
  const setGroups = (next: readonly GroupText[]) => setForm({ ...form, groups: next })
  return (
    <Fieldset legend="Compared">
      {groups.map((group, i) => (
        <Group
          key={i}
          n={i + 1}
          group={group}
          setGroup={(next) => setGroups(groups.map((g, j) => (j === i ? next : g)))}
          onLess={groups.length > 2 ? () => setGroups(groups.filter((_, j) => j !== i)) : null}
        />
      ))}
      {groups.length < MOST_GROUPS && (
        <button type="button" onClick={() => setGroups([...groups, EMPTY_GROUP])}>
          One more group
        </button>
      )}
    </Fieldset>
  )
}

interface GroupProps {
  readonly n: number
  readonly group: GroupText
  readonly setGroup: (group: GroupText) => void
  readonly onLess: (() => void) | null
}

const Group = ({ n, group, setGroup, onLess }: GroupProps) => {
  const named = (fluid: string) =>
    // a name that nobody typed over follows the fluid
    group.name === '' || Object.values(FLUID).includes(group.name as never)
      ? { ...group, fluid, name: fluid === 'other' ? '' : ((FLUID as Record<string, string>)[fluid] ?? '') }
      : { ...group, fluid }
  const { typed, choice } = fieldsOf<keyof GroupText>(group, (next) =>
    setGroup(next.fluid === group.fluid ? next : named(next.fluid)),
  )
  const needed = { required: true } as const
  return (
    <fieldset class="trial-group">
      <legend>Group {n}</legend>
      {choice(`Fluid of group ${n}`, 'fluid', Object.entries(FLUID), needed)}
      {group.fluid === 'other' && typed(`Which fluid, group ${n}`, 'fluid_detail', needed)}
      {typed(`Name of group ${n}`, 'name', { ...needed, maxLength: 40 })}
      {typed(`Lot of group ${n}`, 'lot', { maxLength: 60, hint: 'Empty: any lot of the fluid.' })}
      {onLess !== null && (
        <button type="button" class="plain" onClick={onLess}>
          Take group {n} out
        </button>
      )}
    </fieldset>
  )
}
