// Contrast of every colour in use, by the formulas of WCAG 2.2 ("relative
// luminance", "contrast ratio"): text 4.5:1 (1.4.3), curves and the edges of
// controls 3:1 (1.4.11).

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import { linear as toLinear, oklab } from './oklab.mjs';

const css = readFileSync(new URL('tokens.css', import.meta.url), 'utf8');
const [lightBlock, darkBlock] = css.split('@media (prefers-color-scheme: dark)');
const colours = (block) => Object.fromEntries([...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{3,6});/g)].map((m) => [m[1], m[2]]));
const light = colours(lightBlock);
const dark = { ...light, ...colours(darkBlock) };

function linear(hex) {
  const digits = hex.length === 4 ? [...hex.slice(1)].map((d) => d + d) : hex.slice(1).match(/../g);
  return digits.map((d) => toLinear(parseInt(d, 16) / 255));
}

function contrast(a, b) {
  const [x, y] = [a, b].map((hex) => {
    const [red, green, blue] = linear(hex);
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  });
  return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05);
}

// Matrices for full protanopia, deuteranopia and tritanopia in linear RGB:
// Machado, Oliveira, Fernandes, "A Physiologically-based Model for Simulation
// of Color Vision Deficiency", IEEE TVCG 15(6), 2009, severity 1.0.
const visions = {
  normal: [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
  protan: [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
  deutan: [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.01182, 0.04294, 0.968881]],
  tritan: [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.3039]],
};

function distance(a, b, vision) {
  const [p, q] = [a, b].map((hex) => {
    const rgb = linear(hex);
    return oklab(visions[vision].map((row) => Math.max(0, row.reduce((sum, k, i) => sum + k * rgb[i], 0))));
  });
  return Math.hypot(...p.map((x, i) => x - q[i]));
}

const curves = Array.from({ length: 8 }, (_, i) => `curve-${i}`);

for (const [name, c] of Object.entries({ light, dark })) {
  test(`${name}: text is at least 4.5:1`, () => {
    for (const [text, grounds] of Object.entries({
      ink: ['paper', 'sheet', 'wash', 'caution-wash', 'fault-wash'],
      'ink-2': ['paper', 'sheet', 'wash'],
      accent: ['paper', 'sheet'],
      'on-accent': ['accent'],
      caution: ['paper', 'caution-wash'],
      fault: ['paper', 'sheet', 'fault-wash'],
    })) {
      for (const ground of grounds) {
        const ratio = contrast(c[text], c[ground]);
        assert.ok(ratio >= 4.5, `${text} on ${ground}: ${ratio.toFixed(2)}`);
      }
    }
  });

  test(`${name}: curves and edges of controls are at least 3:1`, () => {
    for (const line of [...curves, 'rule-strong', 'accent', 'ink']) {
      const ratio = contrast(c[line], c.sheet);
      assert.ok(ratio >= 3, `${line} on sheet: ${ratio.toFixed(2)}`);
    }
  });

  // 0.1 is about five times what is just told apart side by side.
  test(`${name}: any two curves stay apart for every colour vision`, () => {
    for (const vision of Object.keys(visions)) {
      for (const [i, a] of curves.entries()) {
        for (const b of curves.slice(i + 1)) {
          const apart = distance(c[a], c[b], vision);
          assert.ok(apart >= 0.1, `${a} and ${b}, ${vision}: ${apart.toFixed(3)}`);
        }
      }
    }
  });
}

// Colours, sizes of type and spaces are said in tokens.css alone. Lines, boxes
// and places have lengths of their own.
test('no other file has a colour, a size of type or a space of its own', () => {
  const COLOUR = /#[0-9a-f]{3,8}\b|\b(rgb|hsl|oklch|oklab|lab|lch)a?\(|:\s*(white|black|gr[ae]y|red|green|blue)\b/i;
  const SIZED = /^\s*(font(-size)?|(row-|column-)?gap|(margin|padding)(-[a-z-]+)?):(.*);/;
  const LENGTH = /(?<![\w-])\d*\.?\d+(rem|px|pt|mm|cm|vw|vh)\b/;
  const faults = [];
  for (const file of readdirSync(new URL('.', import.meta.url)).filter((name) => name.endsWith('.css') && name !== 'tokens.css')) {
    const text = readFileSync(new URL(file, import.meta.url), 'utf8').replace(/\/\*[^]*?\*\//g, (comment) => comment.replace(/[^\n]/g, ''));
    text.split('\n').forEach((line, k) => {
      const space = SIZED.exec(line)?.at(-1);
      if (COLOUR.test(line) || (space && LENGTH.test(space))) faults.push(`${file}:${k + 1}: ${line.trim()}`);
    });
  }
  assert.equal(faults.length, 0, `\n${faults.join('\n')}`);
});
