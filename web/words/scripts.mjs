// The texts of the scripts: the first arguments of say() and later(), see
// shared/say.js.

import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'acorn';
import { web } from '../build/go.mjs';

const ENTRIES = ['loader.js', 'worker.js', 'unpack-worker.js', 'sw.js', 'chart.js'];
const FOLDERS = ['loader', 'keep', 'chart', 'offline', 'shared'];

/** @returns {{texts: import('./texts.mjs').Found[], faults: string[]}} */
export function ofScripts() {
  const files = [...ENTRIES, ...FOLDERS.flatMap((folder) => readdirSync(join(web, folder)).filter((name) => name.endsWith('.js')).sort().map((name) => `${folder}/${name}`))];
  const all = files.map((name) => ofScript(`web/${name}`, readFileSync(join(web, name), 'utf8')));
  return { texts: all.flatMap(({ texts }) => texts), faults: all.flatMap(({ faults }) => faults) };
}

export function ofScript(file, source) {
  const texts = [];
  const faults = [];
  const tree = parse(source, { ecmaVersion: 'latest', sourceType: 'module', locations: true });
  const ours = new Set(tree.body.filter((node) => node.type === 'ImportDeclaration' && node.source.value.endsWith('/say.js')).flatMap(({ specifiers }) => specifiers.map(({ local }) => local.name)));
  visit(tree, (node) => {
    if (node.type !== 'CallExpression' || !ours.has(node.callee.name) || !['say', 'later'].includes(node.callee.name)) return;
    const [first] = node.arguments;
    const { line } = node.loc.start;
    const found = literals(first);
    if (found) texts.push(...found.map((text) => ({ text, file, line })));
    else if (node.callee.name === 'later' || !['Identifier', 'MemberExpression', 'CallExpression'].includes(first?.type)) {
      faults.push(`${file}:${line}: the text of ${node.callee.name} has to be a literal`);
    }
  });
  return { texts, faults };
}

/** The texts that an expression may be, or null where the source does not tell. */
function literals(node) {
  switch (node?.type) {
    case 'Literal':
      return typeof node.value === 'string' ? [node.value] : null;
    case 'TemplateLiteral':
      return node.expressions.length === 0 ? [node.quasis[0].value.cooked] : null;
    case 'ConditionalExpression': {
      const [yes, no] = [literals(node.consequent), literals(node.alternate)];
      return yes && no && [...yes, ...no];
    }
    case 'BinaryExpression': {
      const [left, right] = [literals(node.left), literals(node.right)];
      return node.operator === '+' && left?.length === 1 && right?.length === 1 ? [left[0] + right[0]] : null;
    }
  }
  return null;
}

function visit(node, act) {
  if (!node || typeof node.type !== 'string') return;
  act(node);
  for (const child of Object.values(node)) {
    if (Array.isArray(child)) for (const one of child) visit(one, act);
    else if (typeof child === 'object') visit(child, act);
  }
}
