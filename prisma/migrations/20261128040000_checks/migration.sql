-- Patterns from outside that were checked. A check belongs to no body: it goes when its time is over, with its files.

CREATE TABLE "checks" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
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
  "style_id" TEXT,
  "version_id" TEXT,
  "request" JSONB NOT NULL,
  "result" JSONB,
  "error_reason" TEXT,
  "engine_version" TEXT,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  "started_at" TIMESTAMPTZ(3),
  "finished_at" TIMESTAMPTZ(3),
  CONSTRAINT "checks_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "checks_id_check" CHECK ("id" LIKE 'chk\_%'),
  CONSTRAINT "checks_state_check"
    CHECK ("state" IN ('accepted', 'working', 'ready', 'needs_attention', 'failed', 'cancelled')),
  CONSTRAINT "checks_attempt_check" CHECK ("attempt" >= 0 AND ("state" <> 'working' OR "attempt" >= 1)),
  CONSTRAINT "checks_sequence_check" CHECK ("sequence" >= 1),
  CONSTRAINT "checks_fraction_check" CHECK ("fraction" >= 0 AND "fraction" <= 1),
  CONSTRAINT "checks_findings_check"
    CHECK ("findings_info" >= 0 AND "findings_warning" >= 0 AND "findings_stop" >= 0),
  -- What makes a pattern unsewable is a stop, and nothing else is.
  CONSTRAINT "checks_ready_check" CHECK ("state" <> 'ready' OR "findings_stop" = 0),
  CONSTRAINT "checks_reference_check" CHECK (char_length("reference") <= 64),
  CONSTRAINT "checks_style_id_check" CHECK (char_length("style_id") <= 64),
  CONSTRAINT "checks_version_id_check" CHECK (char_length("version_id") <= 64),
  CONSTRAINT "checks_result_check" CHECK (("state" IN ('ready', 'needs_attention')) = ("result" IS NOT NULL)),
  CONSTRAINT "checks_error_reason_check" CHECK (("state" = 'failed') = ("error_reason" IS NOT NULL)),
  CONSTRAINT "checks_finished_at_check" CHECK (("state" IN ('accepted', 'working')) = ("finished_at" IS NULL)),
  CONSTRAINT "checks_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "checks_shop_id_api_key_id_fkey" FOREIGN KEY ("shop_id", "api_key_id")
    REFERENCES "api_keys" ("shop_id", "id") ON DELETE SET NULL ("api_key_id")
);
CREATE UNIQUE INDEX "checks_shop_id_id_key" ON "checks" ("shop_id", "id");
CREATE INDEX "checks_shop_id_state_id_idx" ON "checks" ("shop_id", "state", "id");
CREATE INDEX "checks_shop_id_reference_id_idx" ON "checks" ("shop_id", "reference", "id");
CREATE INDEX "checks_shop_id_style_id_id_idx" ON "checks" ("shop_id", "style_id", "id");
CREATE INDEX "checks_shop_id_api_key_id_idx" ON "checks" ("shop_id", "api_key_id");
CREATE INDEX "checks_state_updated_at_idx" ON "checks" ("state", "updated_at");

CREATE TABLE "check_files" (
  "shop_id" TEXT NOT NULL,
  "check_id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "sha256" TEXT NOT NULL,
  "bytes" BIGINT NOT NULL,
  "media_type" TEXT NOT NULL,
  CONSTRAINT "check_files_pkey" PRIMARY KEY ("shop_id", "check_id", "name"),
  CONSTRAINT "check_files_name_check" CHECK ("name" ~ '^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$'),
  CONSTRAINT "check_files_sha256_check" CHECK ("sha256" ~ '^[0-9a-f]{64}$'),
  CONSTRAINT "check_files_bytes_check" CHECK ("bytes" >= 0),
  CONSTRAINT "check_files_shop_id_check_id_fkey" FOREIGN KEY ("shop_id", "check_id")
    REFERENCES "checks" ("shop_id", "id") ON DELETE CASCADE
);
CREATE INDEX "check_files_sha256_idx" ON "check_files" ("sha256");

CREATE TABLE "rules_profiles" (
  "shop_id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "version" INTEGER NOT NULL,
  "content" JSONB NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "rules_profiles_pkey" PRIMARY KEY ("shop_id", "name"),
  CONSTRAINT "rules_profiles_name_check" CHECK ("name" ~ '^[a-z0-9][a-z0-9-]{0,63}$'),
  CONSTRAINT "rules_profiles_version_check" CHECK ("version" >= 1),
  CONSTRAINT "rules_profiles_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE
);

CREATE TRIGGER "checks_announce" AFTER INSERT OR UPDATE OF "sequence" ON "checks"
  FOR EACH ROW EXECUTE FUNCTION "announce_draft"();
