export default {
  extends: ['stylelint-config-standard'],
  rules: {
    // Curves keep their colour by number everywhere: .curve-0 to .curve-7.
    'selector-class-pattern': '^[a-z][a-z0-9]*(-[a-z0-9]+)*$',
    'declaration-no-important': true,
    // Styles are ordered by section of the page, not by weight.
    'no-descending-specificity': null,
    'max-nesting-depth': 2,
    // Tokens are grouped by meaning, with empty lines between the groups.
    'custom-property-empty-line-before': null,
  },
};
