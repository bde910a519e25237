-- Cut pieces of many drafts laid on cloth. A marker shows the pieces of every draft on it, so erasing a person erases
-- the markers with a draft of theirs; that is done before the drafts go, hence no cascade from draft to marker.

ALTER TABLE "shops" ADD COLUMN "marker_seconds_max" INTEGER;
ALTER TABLE "shops" ADD CONSTRAINT "shops_marker_seconds_max_check" CHECK ("marker_seconds_max" >= 1);

CREATE TABLE "markers" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "api_key_id" TEXT,
  "state" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "sequence" INTEGER NOT NULL,
  "stage" TEXT,
  "fraction" DOUBLE PRECISION,
  "length_mm" DOUBLE PRECISION,
  "findings_info" INTEGER NOT NULL,
  "findings_warning" INTEGER NOT NULL,
  "findings_stop" INTEGER NOT NULL,
  "reference" TEXT,
  "request" JSONB NOT NULL,
  "result" JSONB,
  "cancel_requested_at" TIMESTAMPTZ(3),
  "error_reason" TEXT,
  "engine_version" TEXT,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  "started_at" TIMESTAMPTZ(3),
  "finished_at" TIMESTAMPTZ(3),
  CONSTRAINT "markers_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "markers_id_check" CHECK ("id" LIKE 'mrk\_%'),
  CONSTRAINT "markers_state_check"
    CHECK ("state" IN ('accepted', 'working', 'ready', 'needs_attention', 'failed', 'cancelled')),
  CONSTRAINT "markers_attempt_check" CHECK ("attempt" >= 0 AND ("state" <> 'working' OR "attempt" >= 1)),
  CONSTRAINT "markers_sequence_check" CHECK ("sequence" >= 1),
  CONSTRAINT "markers_fraction_check" CHECK ("fraction" >= 0 AND "fraction" <= 1),
  CONSTRAINT "markers_findings_check"
    CHECK ("findings_info" >= 0 AND "findings_warning" >= 0 AND "findings_stop" >= 0),
  CONSTRAINT "markers_reference_check" CHECK (char_length("reference") <= 64),
  -- A cancelled marker keeps the best there was, if work on it had begun.
  CONSTRAINT "markers_result_check" CHECK (CASE "state"
    WHEN 'ready' THEN "result" IS NOT NULL WHEN 'needs_attention' THEN "result" IS NOT NULL
    WHEN 'cancelled' THEN TRUE ELSE "result" IS NULL END),
  CONSTRAINT "markers_error_reason_check" CHECK (("state" = 'failed') = ("error_reason" IS NOT NULL)),
  CONSTRAINT "markers_finished_at_check" CHECK (("state" IN ('accepted', 'working')) = ("finished_at" IS NULL)),
  CONSTRAINT "markers_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "markers_shop_id_api_key_id_fkey" FOREIGN KEY ("shop_id", "api_key_id")
    REFERENCES "api_keys" ("shop_id", "id") ON DELETE SET NULL ("api_key_id")
);
CREATE UNIQUE INDEX "markers_shop_id_id_key" ON "markers" ("shop_id", "id");
CREATE INDEX "markers_shop_id_state_id_idx" ON "markers" ("shop_id", "state", "id");
CREATE INDEX "markers_shop_id_reference_id_idx" ON "markers" ("shop_id", "reference", "id");
CREATE INDEX "markers_shop_id_api_key_id_idx" ON "markers" ("shop_id", "api_key_id");
CREATE INDEX "markers_state_updated_at_idx" ON "markers" ("state", "updated_at")
  WHERE "state" IN ('accepted', 'working');

CREATE TABLE "marker_drafts" (
  "shop_id" TEXT NOT NULL,
  "marker_id" TEXT NOT NULL,
  "draft_id" TEXT NOT NULL,
  CONSTRAINT "marker_drafts_pkey" PRIMARY KEY ("shop_id", "marker_id", "draft_id"),
  CONSTRAINT "marker_drafts_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "marker_drafts_shop_id_marker_id_fkey" FOREIGN KEY ("shop_id", "marker_id")
    REFERENCES "markers" ("shop_id", "id") ON DELETE CASCADE,
  CONSTRAINT "marker_drafts_shop_id_draft_id_fkey" FOREIGN KEY ("shop_id", "draft_id")
    REFERENCES "drafts" ("shop_id", "id") ON DELETE CASCADE
);
CREATE INDEX "marker_drafts_shop_id_draft_id_idx" ON "marker_drafts" ("shop_id", "draft_id");

CREATE TABLE "marker_files" (
  "shop_id" TEXT NOT NULL,
  "marker_id" TEXT NOT NULL,
  "name" TEXT NOT NULL,
  "sha256" TEXT NOT NULL,
  "bytes" BIGINT NOT NULL,
  "media_type" TEXT NOT NULL,
  CONSTRAINT "marker_files_pkey" PRIMARY KEY ("shop_id", "marker_id", "name"),
  CONSTRAINT "marker_files_name_check" CHECK ("name" ~ '^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$'),
  CONSTRAINT "marker_files_sha256_check" CHECK ("sha256" ~ '^[0-9a-f]{64}$'),
  CONSTRAINT "marker_files_bytes_check" CHECK ("bytes" >= 0),
  CONSTRAINT "marker_files_shop_id_marker_id_fkey" FOREIGN KEY ("shop_id", "marker_id")
    REFERENCES "markers" ("shop_id", "id") ON DELETE CASCADE
);
CREATE INDEX "marker_files_sha256_idx" ON "marker_files" ("sha256");

CREATE TRIGGER "markers_announce" AFTER INSERT OR UPDATE OF "sequence" ON "markers"
  FOR EACH ROW EXECUTE FUNCTION "announce_draft"();
