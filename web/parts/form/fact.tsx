import type { ComponentChildren } from 'preact'

/** One name and its value in a list of facts (`dl`). */
export const Fact = ({ name, children }: { readonly name: string; readonly children: ComponentChildren }) => (
  <div>
    <dt>{name}</dt>
    <dd>{children}</dd>
  </div>
)
