export {
  createDeliverer,
  type Deliverer,
  type DelivererOptions,
  type DeliveryTimeouts,
  type Message,
} from './deliver.js';
export { RETRY_AFTER_MS_MAX, type DeliveryOutcome, type FailureReason } from './delivery-outcome.js';
export type { ResolveName } from './guarded-connect.js';
export {
  allowedReceivers,
  receiverProblems,
  type AllowedReceivers,
  type ReceiverProblem,
  type ReceiverProblemCode,
} from './receiver-rules.js';
export { ATTEMPT_DELAYS_MS, planNextAttempt, type NextStep } from './retry-schedule.js';
export { createSecret, signatureHeaders, type MessageToSign, type SignatureHeaders } from './sign.js';
export { webhookBody, type EndState, type WebhookEvent, type WebhookSubject } from './webhook-body.js';
export { WebhookError, type WebhookErrorCode } from './webhook-error.js';
