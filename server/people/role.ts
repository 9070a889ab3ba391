/** What a person may do, from least to most. Each role may do what those before it may. */
export const ROLES = ['viewer', 'operator', 'reviewer', 'administrator'] as const
export type Role = (typeof ROLES)[number]

/** Does a role reach as far as another? */
export const reaches = (role: Role, least: Role): boolean => ROLES.indexOf(role) >= ROLES.indexOf(least)

/** The one of two that may do less. */
export const lesser = (a: Role, b: Role): Role => (reaches(a, b) ? b : a)
