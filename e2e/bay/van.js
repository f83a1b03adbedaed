// A small van with one known defect, and what a meter shows in it.
//
// One loop: battery, fuse, fuse box, work lamp, return bar. The joint of f2 at the lamp has a resistance it should
// not have. What the meter shows follows from Ohm's and Kirchhoff's laws for a series loop, worked out here by hand and
// not by the program. The van and its figures are invented.

const COPPER_OHM_MM2_PER_M = 0.0172; // annealed copper at 20 °C: IEC 60028, from memory
const wire = (length, area) => (COPPER_OHM_MM2_PER_M * length) / area;

const SOURCE_V = 12.62;
/** From plus round to minus: a place, and the resistance that lies before it. */
const LOOP = [
  ["house.+", 0.005],
  ["main-fuse.in", wire(0.3, 16)],
  ["main-fuse.out", 0.0007],
  ["box.in", wire(1, 16)],
  ["box.1", 0.005],
  ["lamp.+", wire(4, 4)],
  ["lamp.-", 12 ** 2 / 60],
  ["f2 past lamp.-", 0.3],
  ["bar", wire(4, 4)],
  ["house.-", wire(0.4, 16)],
];
/** What is wrong, in the words of the record. */
export const DEFECT = "f2 at lamp.-";

const TOTAL = LOOP.reduce((sum, [, ohm]) => sum + ohm, 0);
export const CURRENT_A = SOURCE_V / TOTAL;

/** Volts of a place over the battery's minus post. */
export function potential(place) {
  let volts = SOURCE_V;
  for (const [name, ohm] of LOOP) {
    volts -= ohm * CURRENT_A;
    if (name === place) return volts;
  }
  throw new Error(`no probe was put on ${place}`);
}

/** What the meter shows for a line of the record such as `night: %value% between box.1 and bar`. */
export function shown(line) {
  const between = /between (\S+) and ([^\s,"]+)/.exec(line);
  if (between) return { unit: "V", value: potential(between[1]) - potential(between[2]) };
  const over = /over (\S+) at ([^\s,"]+)/.exec(line);
  if (over) return { unit: "V", value: `${over[1]} at ${over[2]}` === DEFECT ? 0.3 * CURRENT_A : 0.001 };
  if (/%value% in /.test(line)) return { unit: "A", value: CURRENT_A };
  throw new Error(`no meter for ${line}`);
}

/** What is typed in at "as found": section and line. */
export const ITEMS = [
  ["devices", 'house = { kind = "agm battery", behind = "nothing", holds = "100 Ah" }'],
  ["devices", 'main-fuse = { kind = "strip fuse", behind = "nothing", rated = "100 A" }'],
  ["devices", 'box = { kind = "blade fuse box", ways = ["15 A lamp"], behind = "nothing" }'],
  ["devices", 'bar = { kind = "busbar", behind = "nothing" }'],
  ["devices", 'lamp = { kind = "filament lamp", behind = "kick-board", power = "60 W" }'],
  ["parts", 'kick-board = { is = "kick board", fixings = "4 screws" }'],
  ["wires", 'w1 = "house.+ to main-fuse.in, 16 mm2, red, 0.3 m, fine, 90 C"'],
  ["wires", 'w2 = "main-fuse.out to box.in, 16 mm2, red, 1 m, fine, 90 C"'],
  ["wires", 'f1 = "box.1 to lamp.+, 4 mm2, red, 4 m, fine, 90 C"'],
  ["wires", 'f2 = "lamp.- to bar, 4 mm2, black, 4 m, fine, 90 C"'],
  ["wires", 'n1 = "bar to house.-, 16 mm2, black, 0.4 m, fine, 90 C"'],
];
