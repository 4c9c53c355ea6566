// An object step in JavaScript: a motif of needle points, again and again along a line.
//
// The contract is sdk/wit/hoopwright.wit. Records are objects, lists of f64 are Float64Array, names are
// camelCase; `result<object, failure>` is what is returned, or a thrown `{ payload: failure }`.
// There is no console, clock or random number: what the contract does not give is not there.

import { log, report } from 'hoopwright:step/host@0.1.1';

// DST's longest move along one axis, in mm.
const LONGEST = 12.1;

const schema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'MotifLine',
  description: 'Sews a motif again and again along a line.',
  type: 'object',
  additionalProperties: false,
  properties: {
    repeat: {
      description:
        'How long one motif is along the line, in mm. Default 4. It is drawn out or in a little, so that ' +
        'a whole number of them fits.',
      type: 'number', minimum: 0.5, maximum: 100, default: 4, unit: 'mm',
    },
    height: {
      description: 'How high the motif stands to the left of the line, in mm. Default 2; negative is to the right.',
      type: 'number', minimum: -50, maximum: 50, default: 2, unit: 'mm',
    },
    motif: {
      description:
        'The needle points of one motif, each as how far along (0 to 1 of `repeat`) and how far aside ' +
        '(in `height`s). Default a peak: up at the quarter, down to the line at the half, and on.',
      type: 'array', minItems: 1, maxItems: 200,
      items: {
        type: 'array', minItems: 2, maxItems: 2,
        items: { type: 'number', minimum: -4, maximum: 4 },
      },
      default: [[0.25, 1], [0.5, 0]],
    },
  },
};

const defaults = Object.fromEntries(
  Object.entries(schema.properties).map(([name, property]) => [name, property.default]),
);

const manual = `Sews a motif again and again along a line: peaks, scallops, footprints, whatever the needle
points of one are.

**When to use it.** For borders and textures along drawn lines, instead of a run or a satin column.

**How it is laid.** A whole number of motifs, as near to \`repeat\` as can be, from the line's beginning to its
end. Aside is square to the line. At a sharp corner a motif bends with the line.
`;

export const objectStep = {
  describe() {
    return {
      name: 'motif-line',
      version: '0.1.0',
      summary: 'Sews a motif again and again along lines.',
      manual,
      settingsSchema: JSON.stringify(schema),
    };
  },

  process(object, _thread, text) {
    const settings = { ...defaults, ...JSON.parse(text) };
    if (object.shape.tag !== 'lines') {
      throw failure(object, 'It has no lines to lay a motif along.', 'Select lines: "on": { "shape": "lines" }.');
    }
    const blocks = [];
    let longest = 0;
    for (const path of object.shape.val.paths) {
      const needles = along(path, settings);
      if (needles === null) {
        report({
          severity: 'note',
          message: 'A line without length got no motif.',
          object: object.id,
          place: undefined,
          help: undefined,
        });
        continue;
      }
      if (blocks.length > 0) {
        blocks.push({ kind: 'jump', role: 'travel', x: needles.x.slice(0, 1), y: needles.y.slice(0, 1) });
      }
      blocks.push({ kind: 'needle', role: 'cover', ...needles });
      for (let i = 1; i < needles.x.length; i += 1) {
        const across = Math.abs(needles.x[i] - needles.x[i - 1]);
        const down = Math.abs(needles.y[i] - needles.y[i - 1]);
        longest = Math.max(longest, across, down);
      }
    }
    if (longest > LONGEST) {
      report({
        severity: 'warning',
        message: `The motif has a stitch of ${longest.toFixed(1)} mm; a machine's longest is ${LONGEST} mm.`,
        object: object.id,
        place: undefined,
        help: 'Make `repeat` or `height` smaller, or give the motif more needle points.',
      });
    }
    log('debug', `${object.id}: ${blocks.length} blocks`);
    return { ...object, stitches: blocks };
  },
};

function failure(object, message, help) {
  return { payload: { message, object: object.id, help } };
}

// The needle points along one path, or null where it has no length.
function along(path, { repeat, height, motif }) {
  const count = path.x.length;
  const corners = [];
  for (let i = 0; i < count + (path.closed ? 1 : 0); i += 1) {
    corners.push([path.x[i % count], path.y[i % count]]);
  }
  const steps = [];
  let length = 0;
  for (let i = 1; i < corners.length; i += 1) {
    const [dx, dy] = [corners[i][0] - corners[i - 1][0], corners[i][1] - corners[i - 1][1]];
    const step = Math.sqrt(dx * dx + dy * dy);
    if (step > 0) {
      steps.push({ from: corners[i - 1], dx: dx / step, dy: dy / step, begin: length, step });
      length += step;
    }
  }
  if (steps.length === 0) {
    return null;
  }
  const motifs = Math.max(1, Math.round(length / repeat));
  const each = length / motifs;
  const x = [];
  const y = [];
  // y grows down, so left of the way (dx, dy) is (dy, -dx).
  const push = (at, aside) => {
    const inside = Math.min(Math.max(at, 0), length);
    let place = steps.length - 1;
    while (place > 0 && steps[place].begin > inside) {
      place -= 1;
    }
    const { from, dx, dy, begin } = steps[place];
    const on = inside - begin;
    x.push(from[0] + dx * on + dy * aside);
    y.push(from[1] + dy * on - dx * aside);
  };
  push(0, 0);
  for (let number = 0; number < motifs; number += 1) {
    for (const [forward, aside] of motif) {
      push((number + forward) * each, aside * height);
    }
  }
  push(length, 0);
  return { x: Float64Array.from(x), y: Float64Array.from(y) };
}
