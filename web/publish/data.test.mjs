// Our JSON against its schema by a validator, and our tables of values through a
// reader of CSV.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import Ajv from 'ajv/dist/2020.js';
import papa from 'papaparse';
import { posts, schema, text } from './texts.mjs';

const ajv = new Ajv({ strict: true, allErrors: true, allowUnionTypes: true });
const valid = ajv.compile(schema);
const read = (post) => JSON.parse(text(post, 'post.json'));

for (const post of posts) {
  test(`${post}: the JSON is as its schema has it`, () => {
    assert.ok(ajv.validateSchema(schema));
    assert.ok(valid(read(post)), ajv.errorsText(valid.errors));
    assert.equal(text(post, 'post.json'), text(post, 'comma-post.json'));
    assert.doesNotMatch(text(post, 'post.json'), /<|\u2028|\u2029/);
  });

  for (const [file, delimiter, mark] of [['post.csv', ',', '.'], ['comma-post.csv', ';', ','], ['post.tsv', '\t', '.'], ['comma-post.tsv', '\t', ',']]) {
    test(`${post}: ${file} has the figures of the JSON`, () => {
      const { data, errors } = papa.parse(text(post, file), { delimiter, newline: '\r\n', skipEmptyLines: true, quoteChar: delimiter === '\t' ? '\u0000' : '"' });
      assert.deepEqual(errors, []);
      const [heads, ...rows] = data;
      const { runs } = read(post).runs ? read(post) : { runs: [] };
      assert.equal(rows.length, runs.length);
      assert.equal(heads.at(-1), mark === ',' ? 'decimal_comma' : 'decimal_point');
      let compared = 0;
      rows.forEach((row, k) => {
        assert.equal(row.length, heads.length);
        heads.forEach((head, c) => {
          const u = head.includes('_U_k2_');
          const figure = runs[k][head.replace('_U_k2', '')];
          if (!figure || typeof figure !== 'object' || Array.isArray(figure)) return;
          const want = u ? figure.U : figure.value;
          if (want === null) return assert.equal(row[c], '');
          assert.match(row[c], mark === ',' ? /^[^.]*$/ : /^[^,]*$/);
          const got = Number(row[c].replace(',', '.'));
          assert.ok(Math.abs(got - want) <= Math.max(5e-3, 1e-12 * Math.abs(want)) && (got !== 0 || Math.abs(want) < 5e-3), `${head}: ${row[c]} for ${want}`);
          compared += 1;
        });
      });
      if (post === 'sample') assert.ok(compared > 300, `${compared} compared`);
    });
  }
}

test('the schema refuses what is not as it says', () => {
  const spoil = (change) => {
    const post = read('sample');
    change(post);
    assert.ok(!valid(post), String(change));
  };
  spoil((p) => delete p.title);
  spoil((p) => { p.version = 2; });
  spoil((p) => { p.runs[0].capacity_Ah.value = '4.98'; });
  spoil((p) => { delete p.runs[0].capacity_Ah.why; });
  spoil((p) => { p.runs[0].more = 1; });
  spoil((p) => { p.verdicts[0].grade = 'fine'; });
  spoil((p) => { p.cells[0].mass_g = 0; });
});

test('figures that are not there are null and say why', () => {
  const run = read('sample').runs[11];
  assert.deepEqual(run.max_temperature_C, { value: null, U: null, at_least: false, why: 'The log has no temperature.' });
  assert.equal(read('sample').runs[7].capacity_Ah.at_least, true);
  assert.equal(read('sample').runs[2].capacity_Ah.value, 4.983 * (1 - (0.012 * 2 * 2) / 2));
});
