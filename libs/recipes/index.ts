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
export { compileRecipe, onPiece, partsOfText, resultNames, type CompiledRecipe } from './compile-recipe.js';
export type {
  AmountParameter,
  ChoiceParameter,
  GuardStep,
  LetStep,
  Needs,
  OperationStep,
  Parameter,
  Recipe,
  ReportStep,
  Step,
  WhenStep,
} from './recipe.js';
export { BUILT_IN_RECIPES, builtInRecipe } from './built-in/catalogue.js';
export { alterationInWords } from './in-words.js';
export { RecipeError } from './recipe-error.js';
export {
  defaultOf,
  runRecipe,
  type ParameterValue,
  type ParameterValues,
  type RecipeResult,
  type Report,
} from './run-recipe.js';
export { STANDING_POINTS, STANDING_QUANTITIES } from './standing-names.js';
export {
  recipeDifference,
  type Change,
  type RecipeDifference,
  type StepChange,
} from './reading/recipe-difference.js';
export {
  readingText,
  recipeReading,
  type ReadParameter,
  type ReadStep,
  type RecipeReading,
} from './reading/recipe-reading.js';
