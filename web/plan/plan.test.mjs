// Plans as the Go code writes them, read with libraries of others: calendars by
// a parser of RFC 5545, Markdown by renderers, CSV by a reader of it; each
// against the plan itself as JSON.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { HtmlRenderer, Parser } from 'commonmark';
import ICAL from 'ical.js';
import { marked } from 'marked';
import papa from 'papaparse';
import { parse } from 'parse5';

const top = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
const folder = mkdtempSync(join(tmpdir(), 'plateau-plans-'));
execFileSync('go', ['test', '-count=1', '-run', '^TestTexts$', './core/plan'], {
  cwd: top, env: { ...process.env, PLATEAU_PLANS: folder }, stdio: ['ignore', 'ignore', 'inherit'],
});
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));

const text = (plan, file) => readFileSync(join(folder, `${plan}-plan.${file}`), 'utf8');
const plan = (name) => JSON.parse(text(name, 'json'));
const [empty, charge, rest, discharge] = [0, 1, 2, 3];
const words = { [empty]: 'empty', [charge]: 'charge', [discharge]: 'discharge' };

/** A text as it comes to be on one line: blanks run together, no controls, no turns of direction. */
const line = (s) => s.replace(/[\u202a-\u202e\u2066-\u2069\ufeff]/g, '').replace(/[\u0000-\u0020\u007f-\u009f\u2028\u2029]+/g, ' ').trim(); // eslint-disable-line no-control-regex

for (const name of ['sample', 'hostile']) {
  const { Runs: runs } = plan(name);
  const read = () => new ICAL.Component(ICAL.parse(text(name, 'ics')));

  test(`${name}: the calendar is one by a parser of others, and it loses nothing`, () => {
    const component = read();
    assert.equal(component.name, 'vcalendar');
    assert.equal(component.getFirstPropertyValue('version'), '2.0');
    const all = component.getAllSubcomponents();
    assert.ok(all.length > 100, `${all.length} components`);
    for (const c of all) {
      assert.equal(c.name, 'vevent');
      assert.deepEqual(c.getAllSubcomponents(), []);
      for (const p of c.getAllProperties()) {
        assert.ok(['uid', 'dtstamp', 'dtstart', 'dtend', 'summary', 'description', 'transp'].includes(p.name), p.name);
        assert.deepEqual(Object.keys(p.toJSON()[1]), []);
      }
    }
    assert.deepEqual(ICAL.parse(component.toString()), component.toJSON());
    const uids = new Set(all.map((c) => c.getFirstPropertyValue('uid')));
    assert.equal(uids.size, all.length);
  });

  test(`${name}: each step that needs a hand, and each long one, is an event at its time`, () => {
    const events = read().getAllSubcomponents('vevent').map((c) => new ICAL.Event(c));
    const left = new Set(events);
    const take = (want) => {
      const found = [...left].find((e) => e.startDate.toJSDate().getTime() === want.from && e.endDate.toJSDate().getTime() === want.to &&
        (e.component.getFirstPropertyValue('transp') === 'TRANSPARENT') === want.free && e.summary.includes(want.cell) && e.summary.includes(want.does));
      assert.ok(found, JSON.stringify(want));
      assert.equal(found.startDate.zone.tzid, 'UTC');
      left.delete(found);
    };
    for (const r of runs) {
      const cell = line(r.Cell);
      for (const s of r.Steps) {
        const [from, to] = [Date.parse(s.Start), Date.parse(s.End)];
        if (s.Hand) take({ cell, does: words[s.Kind], from, to: from + 15 * 60e3, free: false });
        if (s.Kind !== rest && to - from >= 3600e3) take({ cell, does: words[s.Kind], from, to, free: true });
      }
    }
    // What is left is taking cells out, once each.
    assert.equal(left.size, runs.filter((r) => r.Last).length);
    for (const e of left) assert.match(e.summary, /^Take out: /);
  });
}

test('there is no calendar without dates or runs', () => {
  for (const name of ['empty', 'undated']) assert.throws(() => text(name, 'ics'), { code: 'ENOENT' });
});

/** Names of the elements of an HTML text. */
function kinds(html) {
  const out = new Set();
  const walk = (node) => {
    if (node.tagName) out.add(node.tagName);
    for (const a of node.attrs ?? []) out.add(`${node.tagName} ${a.name}`);
    (node.childNodes ?? []).forEach(walk);
  };
  walk(parse(html));
  return [...out];
}

const own = ['html', 'head', 'body', 'h1', 'h2', 'p', 'ul', 'li', 'strong', 'table', 'thead', 'tbody', 'tr', 'th', 'td', 'th align', 'td align',
  'input', 'input type', 'input disabled'];

for (const name of ['sample', 'hostile', 'empty', 'undated']) {
  const p = plan(name);

  test(`${name}: the Markdown comes to nothing but our own markup`, () => {
    const markdown = text(name, 'md');
    for (const html of [marked.parse(markdown, { gfm: true }), new HtmlRenderer().render(new Parser().parse(markdown))]) {
      for (const k of kinds(html)) assert.ok(own.includes(k), k);
    }
  });

  test(`${name}: the Markdown has a row for each run and a box for each task`, () => {
    const tokens = marked.lexer(text(name, 'md'), { gfm: true });
    const tables = tokens.filter((t) => t.type === 'table');
    if (p.Runs) {
      assert.equal(tables[0].rows.length, p.Runs.length);
      for (const row of tables[0].rows) assert.equal(row.length, 13);
    }
    const tasks = tokens.filter((t) => t.type === 'list').flatMap((t) => t.items).filter((i) => i.task);
    assert.equal(tasks.length, (p.Checklist ?? []).length);
  });

  test(`${name}: the CSV has the figures of the plan`, () => {
    const { data, errors } = papa.parse(text(name, 'csv'), { header: true, newline: '\r\n', skipEmptyLines: true });
    assert.deepEqual(errors, []);
    const [runs, left] = [p.Runs ?? [], p.Left ?? []];
    assert.equal(data.length, runs.length + left.length);
    runs.forEach((r, k) => {
      const row = data[k];
      assert.equal(row.cell.replace(/^'/, ''), line(r.Cell));
      assert.doesNotMatch(row.cell, /^[=+@-]/);
      for (const [head, want] of [['set_A', r.Set], ['rate_It', r.Rate], ['asked_A', r.Asked], ['cutoff_V', r.Cutoff], ['set_cutoff_V', r.SetCutoff], ['charge_A', r.ChargeAmps], ['charge_V', r.ChargeTo]]) {
        assert.ok(Math.abs(Number(row[head]) - want) <= 1e-6, `${head}: ${row[head]} for ${want}`);
      }
      assert.ok(Math.abs(Number(row.deviation_percent) - 100 * r.Deviation) <= 1e-3);
      const d = r.Steps.find((s) => s.Kind === discharge);
      const none = d.Start.startsWith('0001');
      assert.equal(Date.parse(row.discharge_start) || 0, none ? 0 : Date.parse(d.Start));
      assert.equal(Date.parse(row.discharge_end) || 0, none ? 0 : Date.parse(d.End));
    });
    left.forEach((l, k) => assert.equal(data[runs.length + k].left_out, line(l.Why)));
  });
}
