import {
  ALTERATION,
  ALTERATION_DIFFERENCE,
  ALTERATION_READING,
  BLOCK_ANSWER,
  ALTERATION_PAGE,
  BLOCK_PAGE,
  BODY_ANSWER,
  BODY_PAGE,
  CHECK,
  CHECK_PAGE,
  CHECK_STATE,
  COMPARISON,
  DELIVERY,
  DELIVERY_PAGE,
  DELIVERY_STATE,
  DRAFT,
  DRAFT_FILE,
  DRAFT_PAGE,
  DRAFT_STATE,
  DRAFT_TOKEN,
  DRAFT_TOKEN_PAGE,
  EXPORT,
  EXPORT_PAGE,
  MARKER,
  MARKER_PAGE,
  MARKER_STATE,
  RULES_PROFILE,
  PREVIEW,
  WEBHOOK_ENDPOINT,
  WEBHOOK_ENDPOINT_PAGE,
} from '#contracts';
import { enumOf, graphqlType } from './graphql-type.js';

export const AlterationType = graphqlType(ALTERATION);
export const AlterationReadingType = graphqlType(ALTERATION_READING);
export const AlterationDifferenceType = graphqlType(ALTERATION_DIFFERENCE);
export const PreviewType = graphqlType(PREVIEW);
export const BlockType = graphqlType(BLOCK_ANSWER);
export const BlockPageType = graphqlType(BLOCK_PAGE);
export const AlterationPageType = graphqlType(ALTERATION_PAGE);
export const BodyType = graphqlType(BODY_ANSWER);
export const BodyPageType = graphqlType(BODY_PAGE);
export const DeliveryType = graphqlType(DELIVERY);
export const DeliveryPageType = graphqlType(DELIVERY_PAGE);
export const DraftType = graphqlType(DRAFT);
export const DraftFileType = graphqlType(DRAFT_FILE);
export const DraftPageType = graphqlType(DRAFT_PAGE);
export const ExportType = graphqlType(EXPORT);
export const ExportPageType = graphqlType(EXPORT_PAGE);
export const DraftTokenType = graphqlType(DRAFT_TOKEN);
export const DraftTokenPageType = graphqlType(DRAFT_TOKEN_PAGE);
export const MarkerType = graphqlType(MARKER);
export const MarkerPageType = graphqlType(MARKER_PAGE);
export const CheckType = graphqlType(CHECK);
export const CheckPageType = graphqlType(CHECK_PAGE);
export const CheckStateEnum = enumOf(CHECK_STATE);
export const ComparisonType = graphqlType(COMPARISON);
export const RulesProfileType = graphqlType(RULES_PROFILE);
export const MarkerStateEnum = enumOf(MARKER_STATE);
export const WebhookEndpointType = graphqlType(WEBHOOK_ENDPOINT);
export const WebhookEndpointPageType = graphqlType(WEBHOOK_ENDPOINT_PAGE);
export const DraftStateEnum = enumOf(DRAFT_STATE);
export const DeliveryStateEnum = enumOf(DELIVERY_STATE);
