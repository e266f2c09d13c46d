import js from '@eslint/js';
import globals from 'globals';

export default [
  { ignores: ['dist/', '**/node_modules/', 'bench/data/'] },
  js.configs.recommended,
  {
    languageOptions: { ecmaVersion: 2024, sourceType: 'module' },
    linterOptions: { reportUnusedDisableDirectives: 'error' },
    rules: {
      eqeqeq: 'error',
      'no-alert': 'error',
      'no-eval': 'error',
      'no-implied-eval': 'error',
      'no-var': 'error',
      'object-shorthand': 'error',
      'prefer-const': 'error',
      'max-lines': ['error', 400],
    },
  },
  {
    files: ['loader.js', 'chart.js', 'loader/**', 'chart/**', 'shared/**', 'offline/**'],
    languageOptions: { globals: { ...globals.browser, Go: 'readonly', PARTS: 'readonly' } },
  },
  {
    files: ['worker.js', 'unpack-worker.js'],
    languageOptions: { globals: { ...globals.worker, PARTS: 'readonly' } },
  },
  {
    files: ['sw.js'],
    languageOptions: { globals: { ...globals.serviceworker, SITE: 'readonly' } },
  },
  {
    files: ['**/*.mjs', 'eslint.config.js', 'stylelint.config.js'],
    languageOptions: { globals: globals.node },
  },
  {
    // Runs on the platform at the edge, beside Go's wasm_exec.js.
    files: ['edge/worker.mjs'],
    languageOptions: { globals: { ...globals.serviceworker, Go: 'readonly' } },
  },
  {
    // What is passed to page.evaluate runs in the browser.
    files: ['e2e/**', 'bench/**', 'shots.mjs'],
    languageOptions: { globals: { ...globals.node, ...globals.browser } },
  },
];
