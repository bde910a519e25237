-- Every table has shop_id, and every reference carries it, so that no row can point at another shop's.
-- States are text with a CHECK: adding one is a change of one constraint, and the rows read plainly.
-- Times are given by the service, never by the database's clock.

CREATE TABLE "shops" (
  "id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "shops_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "shops_id_check" CHECK ("id" LIKE 'shp\_%')
);

CREATE TABLE "api_keys" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "label" TEXT NOT NULL,
  "prefix" TEXT NOT NULL,
  "secret_hash" BYTEA NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "last_used_at" TIMESTAMPTZ(3),
  "revoked_at" TIMESTAMPTZ(3),
  CONSTRAINT "api_keys_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "api_keys_id_check" CHECK ("id" LIKE 'key\_%'),
  CONSTRAINT "api_keys_secret_hash_check" CHECK (octet_length("secret_hash") = 32),
  CONSTRAINT "api_keys_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "api_keys_secret_hash_key" ON "api_keys" ("secret_hash");
CREATE UNIQUE INDEX "api_keys_shop_id_id_key" ON "api_keys" ("shop_id", "id");

CREATE TABLE "bodies" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "ref" TEXT NOT NULL,
  "sex" TEXT NOT NULL,
  "inside_leg_taken" TEXT NOT NULL,
  "measures" JSONB NOT NULL,
  "corrections" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  "erase_after" TIMESTAMPTZ(3),
  CONSTRAINT "bodies_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "bodies_id_check" CHECK ("id" LIKE 'bdy\_%'),
  CONSTRAINT "bodies_sex_check" CHECK ("sex" IN ('female', 'male', 'unspecified')),
  CONSTRAINT "bodies_inside_leg_taken_check" CHECK ("inside_leg_taken" IN ('taped', 'pressed')),
  CONSTRAINT "bodies_measures_check" CHECK (jsonb_typeof("measures") = 'object'),
  CONSTRAINT "bodies_corrections_check" CHECK (jsonb_typeof("corrections") = 'array'),
  CONSTRAINT "bodies_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "bodies_shop_id_id_key" ON "bodies" ("shop_id", "id");
CREATE UNIQUE INDEX "bodies_shop_id_ref_key" ON "bodies" ("shop_id", "ref");
CREATE INDEX "bodies_erase_after_idx" ON "bodies" ("erase_after") WHERE "erase_after" IS NOT NULL;

-- A block may be one person's; then it goes with the body.
CREATE TABLE "blocks" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "body_id" TEXT,
  "name" TEXT NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "blocks_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "blocks_id_check" CHECK ("id" LIKE 'blk\_%'),
  CONSTRAINT "blocks_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "blocks_shop_id_body_id_fkey" FOREIGN KEY ("shop_id", "body_id")
    REFERENCES "bodies" ("shop_id", "id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "blocks_shop_id_id_key" ON "blocks" ("shop_id", "id");
CREATE INDEX "blocks_shop_id_body_id_idx" ON "blocks" ("shop_id", "body_id");

CREATE TABLE "block_versions" (
  "shop_id" TEXT NOT NULL,
  "block_id" TEXT NOT NULL,
  "version" INTEGER NOT NULL,
  "content" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "block_versions_pkey" PRIMARY KEY ("shop_id", "block_id", "version"),
  CONSTRAINT "block_versions_version_check" CHECK ("version" >= 1),
  CONSTRAINT "block_versions_shop_id_block_id_fkey" FOREIGN KEY ("shop_id", "block_id")
    REFERENCES "blocks" ("shop_id", "id") ON DELETE CASCADE
);

CREATE TABLE "alterations" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "alterations_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "alterations_id_check" CHECK ("id" LIKE 'alt\_%'),
  CONSTRAINT "alterations_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "alterations_shop_id_id_key" ON "alterations" ("shop_id", "id");
CREATE UNIQUE INDEX "alterations_shop_id_name_key" ON "alterations" ("shop_id", "name");

CREATE TABLE "alteration_versions" (
  "shop_id" TEXT NOT NULL,
  "alteration_id" TEXT NOT NULL,
  "version" INTEGER NOT NULL,
  "state" TEXT NOT NULL,
  "content" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "published_at" TIMESTAMPTZ(3),
  "retired_at" TIMESTAMPTZ(3),
  CONSTRAINT "alteration_versions_pkey" PRIMARY KEY ("shop_id", "alteration_id", "version"),
  CONSTRAINT "alteration_versions_version_check" CHECK ("version" >= 1),
  CONSTRAINT "alteration_versions_state_check" CHECK ("state" IN ('draft', 'published', 'retired')),
  CONSTRAINT "alteration_versions_times_check"
    CHECK (("state" = 'draft') = ("published_at" IS NULL) AND ("state" = 'retired') = ("retired_at" IS NOT NULL)),
  CONSTRAINT "alteration_versions_shop_id_alteration_id_fkey" FOREIGN KEY ("shop_id", "alteration_id")
    REFERENCES "alterations" ("shop_id", "id") ON DELETE CASCADE
);
-- One version is being worked on and one is in use, never two of either.
CREATE UNIQUE INDEX "alteration_versions_one_draft_key" ON "alteration_versions" ("shop_id", "alteration_id")
  WHERE "state" = 'draft';
CREATE UNIQUE INDEX "alteration_versions_one_published_key" ON "alteration_versions" ("shop_id", "alteration_id")
  WHERE "state" = 'published';

-- Erasing a body erases its drafts. Deleting a block or an API key does not: the draft keeps its request.
CREATE TABLE "drafts" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "body_id" TEXT,
  "block_id" TEXT,
  "api_key_id" TEXT,
  "state" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "sequence" INTEGER NOT NULL,
  "stage" TEXT,
  "fraction" DOUBLE PRECISION,
  "findings_info" INTEGER NOT NULL,
  "findings_warning" INTEGER NOT NULL,
  "findings_stop" INTEGER NOT NULL,
  "reference" TEXT,
  "request" JSONB NOT NULL,
  "request_hash" TEXT NOT NULL,
  "result" JSONB,
  "error_reason" TEXT,
  "engine_version" TEXT,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  "started_at" TIMESTAMPTZ(3),
  "finished_at" TIMESTAMPTZ(3),
  CONSTRAINT "drafts_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "drafts_id_check" CHECK ("id" LIKE 'drf\_%'),
  CONSTRAINT "drafts_state_check"
    CHECK ("state" IN ('accepted', 'working', 'ready', 'needs_attention', 'failed', 'cancelled')),
  CONSTRAINT "drafts_attempt_check" CHECK ("attempt" >= 0 AND ("state" <> 'working' OR "attempt" >= 1)),
  CONSTRAINT "drafts_sequence_check" CHECK ("sequence" >= 1),
  CONSTRAINT "drafts_fraction_check" CHECK ("fraction" >= 0 AND "fraction" <= 1),
  CONSTRAINT "drafts_findings_check"
    CHECK ("findings_info" >= 0 AND "findings_warning" >= 0 AND "findings_stop" >= 0),
  CONSTRAINT "drafts_reference_check" CHECK (char_length("reference") <= 64),
  CONSTRAINT "drafts_result_check" CHECK (("state" IN ('ready', 'needs_attention')) = ("result" IS NOT NULL)),
  CONSTRAINT "drafts_error_reason_check" CHECK (("state" = 'failed') = ("error_reason" IS NOT NULL)),
  CONSTRAINT "drafts_finished_at_check" CHECK (("state" IN ('accepted', 'working')) = ("finished_at" IS NULL)),
  CONSTRAINT "drafts_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "drafts_shop_id_body_id_fkey" FOREIGN KEY ("shop_id", "body_id")
    REFERENCES "bodies" ("shop_id", "id") ON DELETE CASCADE,
  CONSTRAINT "drafts_shop_id_block_id_fkey" FOREIGN KEY ("shop_id", "block_id")
    REFERENCES "blocks" ("shop_id", "id") ON DELETE SET NULL ("block_id"),
  CONSTRAINT "drafts_shop_id_api_key_id_fkey" FOREIGN KEY ("shop_id", "api_key_id")
    REFERENCES "api_keys" ("shop_id", "id") ON DELETE SET NULL ("api_key_id")
);
CREATE UNIQUE INDEX "drafts_shop_id_id_key" ON "drafts" ("shop_id", "id");
CREATE INDEX "drafts_shop_id_state_id_idx" ON "drafts" ("shop_id", "state", "id");
CREATE INDEX "drafts_shop_id_reference_id_idx" ON "drafts" ("shop_id", "reference", "id");
CREATE INDEX "drafts_shop_id_body_id_id_idx" ON "drafts" ("shop_id", "body_id", "id");
CREATE INDEX "drafts_shop_id_block_id_idx" ON "drafts" ("shop_id", "block_id");
CREATE INDEX "drafts_shop_id_api_key_id_idx" ON "drafts" ("shop_id", "api_key_id");
-- For finding work whose worker died: few rows are unfinished at any time.
CREATE INDEX "drafts_state_updated_at_idx" ON "drafts" ("state", "updated_at")
  WHERE "state" IN ('accepted', 'working');

CREATE TABLE "draft_files" (
  "shop_id" TEXT NOT NULL,
  "draft_id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "sha256" TEXT NOT NULL,
  "bytes" BIGINT NOT NULL,
  "media_type" TEXT NOT NULL,
  CONSTRAINT "draft_files_pkey" PRIMARY KEY ("shop_id", "draft_id", "name"),
  CONSTRAINT "draft_files_name_check" CHECK ("name" ~ '^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$'),
  CONSTRAINT "draft_files_sha256_check" CHECK ("sha256" ~ '^[0-9a-f]{64}$'),
  CONSTRAINT "draft_files_bytes_check" CHECK ("bytes" >= 0),
  CONSTRAINT "draft_files_shop_id_draft_id_fkey" FOREIGN KEY ("shop_id", "draft_id")
    REFERENCES "drafts" ("shop_id", "id") ON DELETE CASCADE
);
CREATE INDEX "draft_files_sha256_idx" ON "draft_files" ("sha256");

-- A stored response may hold measures: subject_id lets erasure find it.
CREATE TABLE "idempotency_keys" (
  "shop_id" TEXT NOT NULL,
  "key" TEXT NOT NULL,
  "fingerprint" TEXT NOT NULL,
  "state" TEXT NOT NULL,
  "claim_token" TEXT NOT NULL,
  "claimed_until" TIMESTAMPTZ(3) NOT NULL,
  "subject_id" TEXT,
  "response_status" INTEGER,
  "response_body" JSONB,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "expires_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "idempotency_keys_pkey" PRIMARY KEY ("shop_id", "key"),
  CONSTRAINT "idempotency_keys_key_check" CHECK (char_length("key") BETWEEN 1 AND 255),
  CONSTRAINT "idempotency_keys_state_check" CHECK ("state" IN ('in-progress', 'finished')),
  CONSTRAINT "idempotency_keys_response_check" CHECK (("state" = 'finished') = ("response_status" IS NOT NULL)),
  CONSTRAINT "idempotency_keys_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE INDEX "idempotency_keys_shop_id_subject_id_idx" ON "idempotency_keys" ("shop_id", "subject_id");
CREATE INDEX "idempotency_keys_expires_at_idx" ON "idempotency_keys" ("expires_at");

CREATE TABLE "webhook_endpoints" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "url" TEXT NOT NULL,
  "secrets" JSONB NOT NULL,
  "event_types" TEXT[] NOT NULL,
  "enabled" BOOLEAN NOT NULL,
  "disabled_reason" TEXT,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "webhook_endpoints_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "webhook_endpoints_id_check" CHECK ("id" LIKE 'whe\_%'),
  CONSTRAINT "webhook_endpoints_secrets_check"
    CHECK (jsonb_typeof("secrets") = 'array' AND jsonb_array_length("secrets") >= 1),
  CONSTRAINT "webhook_endpoints_disabled_reason_check" CHECK ("enabled" = ("disabled_reason" IS NULL)),
  CONSTRAINT "webhook_endpoints_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "webhook_endpoints_shop_id_id_key" ON "webhook_endpoints" ("shop_id", "id");

CREATE TABLE "deliveries" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "endpoint_id" TEXT NOT NULL,
  "webhook_id" TEXT NOT NULL,
  "event_type" TEXT NOT NULL,
  "subject_id" TEXT NOT NULL,
  "payload" JSONB NOT NULL,
  "state" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "next_attempt_at" TIMESTAMPTZ(3),
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "finished_at" TIMESTAMPTZ(3),
  CONSTRAINT "deliveries_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "deliveries_id_check" CHECK ("id" LIKE 'dlv\_%'),
  CONSTRAINT "deliveries_state_check" CHECK ("state" IN ('pending', 'delivered', 'failed', 'cancelled')),
  CONSTRAINT "deliveries_attempt_check" CHECK ("attempt" >= 0),
  CONSTRAINT "deliveries_times_check"
    CHECK (("state" = 'pending') = ("next_attempt_at" IS NOT NULL) AND ("state" = 'pending') = ("finished_at" IS NULL)),
  CONSTRAINT "deliveries_shop_id_endpoint_id_fkey" FOREIGN KEY ("shop_id", "endpoint_id")
    REFERENCES "webhook_endpoints" ("shop_id", "id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "deliveries_shop_id_id_key" ON "deliveries" ("shop_id", "id");
CREATE UNIQUE INDEX "deliveries_shop_id_endpoint_id_webhook_id_key" ON "deliveries" ("shop_id", "endpoint_id", "webhook_id");
CREATE INDEX "deliveries_shop_id_endpoint_id_id_idx" ON "deliveries" ("shop_id", "endpoint_id", "id");
CREATE INDEX "deliveries_shop_id_subject_id_idx" ON "deliveries" ("shop_id", "subject_id");
CREATE INDEX "deliveries_due_idx" ON "deliveries" ("next_attempt_at") WHERE "state" = 'pending';

CREATE TABLE "delivery_attempts" (
  "shop_id" TEXT NOT NULL,
  "delivery_id" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "started_at" TIMESTAMPTZ(3) NOT NULL,
  "duration_ms" INTEGER NOT NULL,
  "status_code" INTEGER,
  "error" TEXT,
  CONSTRAINT "delivery_attempts_pkey" PRIMARY KEY ("shop_id", "delivery_id", "attempt"),
  CONSTRAINT "delivery_attempts_outcome_check" CHECK ("status_code" IS NOT NULL OR "error" IS NOT NULL),
  CONSTRAINT "delivery_attempts_shop_id_delivery_id_fkey" FOREIGN KEY ("shop_id", "delivery_id")
    REFERENCES "deliveries" ("shop_id", "id") ON DELETE CASCADE
);

-- Ids and a version, never geometry or measures: what travels is only a call to look here.
CREATE TABLE "outbox_messages" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "topic" TEXT NOT NULL,
  "payload" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "sent_at" TIMESTAMPTZ(3),
  CONSTRAINT "outbox_messages_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "outbox_messages_id_check" CHECK ("id" LIKE 'out\_%'),
  CONSTRAINT "outbox_messages_payload_check"
    CHECK (jsonb_typeof("payload") = 'object' AND jsonb_typeof("payload" -> 'version') IS NOT DISTINCT FROM 'number'),
  CONSTRAINT "outbox_messages_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE INDEX "outbox_messages_shop_id_idx" ON "outbox_messages" ("shop_id");
CREATE INDEX "outbox_messages_unsent_idx" ON "outbox_messages" ("id") WHERE "sent_at" IS NULL;
CREATE INDEX "outbox_messages_sent_at_idx" ON "outbox_messages" ("sent_at") WHERE "sent_at" IS NOT NULL;

-- Who did what to which thing, without what was in it: no reference to the thing, so it outlives erasure.
CREATE TABLE "audit_entries" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "action" TEXT NOT NULL,
  "subject_id" TEXT NOT NULL,
  "actor_id" TEXT,
  "details" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "audit_entries_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "audit_entries_id_check" CHECK ("id" LIKE 'aud\_%'),
  CONSTRAINT "audit_entries_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);
CREATE INDEX "audit_entries_shop_id_subject_id_id_idx" ON "audit_entries" ("shop_id", "subject_id", "id");

-- A hint to whoever shows a draft's progress, sent with the commit. It may be lost; the row is the truth.
CREATE FUNCTION "announce_draft"() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_notify('draft_changed', NEW."shop_id" || ' ' || NEW."id");
  RETURN NULL;
END
$$;
CREATE TRIGGER "drafts_announce" AFTER INSERT OR UPDATE OF "sequence" ON "drafts"
  FOR EACH ROW EXECUTE FUNCTION "announce_draft"();
