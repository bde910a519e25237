export { checkFormula, type CheckedFormula } from './formula/check-formula.js';
export { evaluateFormula } from './formula/evaluate-formula.js';
export {
  FORMULA_WORDS,
  type Formula,
  type FormulaFault,
  type FormulaProblem,
  type FormulaValue,
  type Quantity,
} from './formula/formula.js';
export { parseFormula, type ParsedFormula } from './formula/parse-formula.js';
export type { WorkedOut } from './formula/work-out.js';
export { checkRecipe } from './check/check-recipe.js';
export type { RecipeProblem, RecipeProblemCode } from './check/recipe-problem.js';
