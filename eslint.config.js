// How the page's scripts are looked at: what is wrong, what is not used, what is too long to read.

import js from '@eslint/js';
import globals from 'globals';

export default [
  { ignores: ['viewer/page/web/vendor/**', 'node_modules/**', '.venv/**'] },
  js.configs.recommended,
  {
    files: ['viewer/page/**/*.js'],
    languageOptions: { ecmaVersion: 2023, sourceType: 'module', globals: globals.browser },
    rules: {
      eqeqeq: 'error',
      'no-eval': 'error',
      'no-implied-eval': 'error',
      'no-restricted-properties': [
        'error',
        { property: 'innerHTML', message: 'Words go in as text, never as markup.' },
        { property: 'outerHTML', message: 'Words go in as text, never as markup.' },
        { property: 'insertAdjacentHTML', message: 'Words go in as text, never as markup.' },
      ],
      'no-var': 'error',
      'prefer-const': 'error',
      'max-lines': ['error', { max: 400 }],
      'max-lines-per-function': ['error', { max: 110 }],
      complexity: ['error', 20],
      'no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
    },
  },
  { files: ['viewer/page/web/texts.js'], rules: { 'max-lines': 'off' } }, // one list of words
];
