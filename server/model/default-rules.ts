/** The rules file that a home starts with. A clinic edits its own copy; the shipped words stay here. */
export const DEFAULT_RULES_TEXT = `# Rules of thumb: numbers and beliefs that the trade repeats. They stand beside the physics and beside
# this clinic's own batches, labelled as what they are; they never decide anything and raise no alarm.
# Edit, remove or add entries; the program reads this file again within seconds of a change.
#
# kind: range   about: plateau_mg_l | plateau_over_gas | half_life_min | prep_min_per_250_ml |
#                      refresh_after_min | flow_ml_per_min;  low and high; a single number (low = high) is
#                      read as "about", 20 % either way; fluids: [saline, ...] limits it to these fluids
# kind: colder  about: plateau | half-life;  expect: more | less   (than warmer batches of the same fluid)
# kind: fluid   about: plateau | half-life;  fluid, than: [...], expect: more | less
# origin        who says so: a source, or "common practice, no source"

rules:
  - id: plateau
    kind: range
    about: plateau_mg_l
    low: 20
    high: 35
    words: levels off at 20 to 35 µg/mL
    physics: only in cold fluid, or with gas of 80 µg/mL and more
    origin: common practice, no source
  - id: quarter-of-gas
    kind: range
    about: plateau_over_gas
    low: 0.25
    high: 0.25
    words: levels off at a quarter of the gas concentration
    physics: right near 20 °C; 0.43 of it at 5 °C
    origin: common practice, no source
  - id: half-life
    kind: range
    about: half_life_min
    low: 30
    high: 30
    words: half-life about 30 min
    physics: possible, but neither ozone's own nor the same everywhere
    origin: common practice, no source
  - id: prep-time
    kind: range
    about: prep_min_per_250_ml
    low: 5
    high: 5
    words: bubble 5 min per 250 mL
    physics: reaches 88 to 95 % of the plateau at 0.43 to 0.6 per min
    origin: common practice, no source
  - id: refresh
    kind: range
    about: refresh_after_min
    low: 20
    high: 30
    words: refresh after 20 to 30 min
    physics: 20 min leave 63 % and 30 min 50 % at a half-life of 30 min
    origin: common practice, no source
  - id: flow
    kind: range
    about: flow_ml_per_min
    low: 125
    high: 500
    words: gas flow 125 to 500 mL/min
    physics: below about one flask of gas per minute the supply limits how fast it fills
    origin: common practice, no source
  - id: colder-lasts-longer
    kind: colder
    about: half-life
    expect: more
    words: colder fluid lasts longer
    physics: "true: 2.8 to 5.8 times as long at 5 °C as at 20 °C"
    origin: common practice, no source
  - id: colder-holds-more
    kind: colder
    about: plateau
    expect: more
    words: colder fluid holds more
    physics: "true: 1.7 times as much at 5 °C as at 20 °C"
    origin: common practice, no source
  - id: filtered-holds-less
    kind: fluid
    about: plateau
    fluid: filtered
    than: [saline, distilled]
    expect: less
    words: filtered water levels off lower
    physics: fits impurities that use ozone up; salt alone lowers saline by about 5 %
    origin: common practice, no source
  - id: filtered-breaks-down-faster
    kind: fluid
    about: half-life
    fluid: filtered
    than: [saline, distilled]
    expect: less
    words: filtered water breaks down faster
    physics: fits impurities; chloride speeds the decay in saline too
    origin: common practice, no source
`
