/**
 * The rule set that is shipped, in the words of its file `machines/rules/generic.yaml`: the one that a user copies and
 * changes is the one that is used.
 */
export const GENERIC_RULES = `# Rules on the power system that many events have, as they were published; each line names where it was read.
# Events change their rules every year: copy this file, change it to what your event says, date it, and hand it over
# with "ampwright papers FILE --rules YOURS.yaml". Lines without a check are left for the crew, with a box to tick.

ampwright rules: 1
name: Generic power-system rules
dated: 2026-11
about: Made from published event rules; no event's own set.

sources:
  CROW: C.R.O.W. construction and match rules, September 2026
  FRA: FRA rules as quoted by builders, 2004 and later
  BBB: BBB checklist, 10 March 2024
  SPARC: SPARC Match Rules v1.4, 8 September 2024
  CIRC: CIRC Bot Brawl, 2018
  machinery: IEC 60204-1:2016, 6.2.4

lines:
  - rule: The nominal voltage is at most 48 V
    check: nominal voltage
    limit: 48 V
    source: CROW 8.2
  - rule: Batteries are sealed, of a permitted type
    check: battery type
    source: CROW 8.1
  - rule: A switch or link that is worked by hand breaks the main current; relays only in addition
    check: manual break
    source: CROW 8.3
  - rule: The machine is off within 15 s
    check: time to switch off
    limit: 15 s
    source: CROW 2.3 and 8.3
  - rule: The switch is reached from outside, away from the weapon, and rigidly fixed
    source: CROW 2.3 and 8.3
  - rule: The link is right after the battery and reached without tools
    source: FRA
  - rule: A light shows that main power is on
    check: power light
    source: CROW 8.6, FRA
  - rule: The light is fed straight from battery power
    check: light from battery
    source: BBB
  - rule: The light is seen from outside in the arena
    source: CROW 8.6
  - rule: Each battery has a fuse, rated below what the battery can give
    check: fuse below burst
    source: BBB
  - rule: The transmitter goes on first
    check: transmitter first
    source: SPARC
  - rule: The transmitter goes off last
    check: transmitter last
    source: common practice, no source
  - rule: The weapon's lock is in whenever weapon power is applied
    source: CROW 2.6
  - rule: Loss of the radio stops drive and weapon within a few seconds, shown with the weapon spinning in place
    source: CROW 6.4, CIRC
  - rule: The weapon stops within 60 s of power or radio off, by its own braking
    source: CROW 9.3
  - rule: No electrical connection to the frame, measured
    source: CROW 8.5
  - rule: Terminals are guarded against a short, the battery against puncture
    source: CROW 8.4
  - rule: Springs and flywheels can be emptied remotely and fail to the empty state
    source: CROW 10
  - rule: Nothing stays awake behind an open isolator
    check: isolation
    source: common practice, no source
  - rule: What can be touched is below 60 V within 5 s after switching off
    check: discharged
    limit: 5 s
    source: machinery
  - rule: The contacts bear their closings
    check: spark
    source: common practice, no source
`;
