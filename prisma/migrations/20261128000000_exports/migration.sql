-- A print of a finished draft, and the token a shop hands to an app so that it may fetch prints of that draft alone.
-- Both go with the draft, and so with the body it was made from.

-- The token itself is not kept. It dies with the key it was made with, too.
CREATE TABLE "draft_tokens" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "draft_id" TEXT NOT NULL,
  "api_key_id" TEXT NOT NULL,
  "secret_hash" BYTEA NOT NULL,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "expires_at" TIMESTAMPTZ(3) NOT NULL,
  "revoked_at" TIMESTAMPTZ(3),
  CONSTRAINT "draft_tokens_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "draft_tokens_id_check" CHECK ("id" LIKE 'tok\_%'),
  CONSTRAINT "draft_tokens_secret_hash_check" CHECK (octet_length("secret_hash") = 32),
  CONSTRAINT "draft_tokens_expires_at_check" CHECK ("expires_at" > "created_at"),
  CONSTRAINT "draft_tokens_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "draft_tokens_shop_id_draft_id_fkey" FOREIGN KEY ("shop_id", "draft_id")
    REFERENCES "drafts" ("shop_id", "id") ON DELETE CASCADE,
  CONSTRAINT "draft_tokens_shop_id_api_key_id_fkey" FOREIGN KEY ("shop_id", "api_key_id")
    REFERENCES "api_keys" ("shop_id", "id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "draft_tokens_secret_hash_key" ON "draft_tokens" ("secret_hash");
CREATE UNIQUE INDEX "draft_tokens_shop_id_id_key" ON "draft_tokens" ("shop_id", "id");
CREATE INDEX "draft_tokens_shop_id_draft_id_id_idx" ON "draft_tokens" ("shop_id", "draft_id", "id");
CREATE INDEX "draft_tokens_shop_id_api_key_id_idx" ON "draft_tokens" ("shop_id", "api_key_id");
CREATE INDEX "draft_tokens_expires_at_idx" ON "draft_tokens" ("expires_at");

CREATE TABLE "exports" (
  "id" TEXT NOT NULL,
  "shop_id" TEXT NOT NULL,
  "draft_id" TEXT NOT NULL,
  "state" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "sequence" INTEGER NOT NULL,
  "stage" TEXT,
  "fraction" DOUBLE PRECISION,
  "request" JSONB NOT NULL,
  "request_text" TEXT NOT NULL,
  "pages" INTEGER,
  "page_width_mm" DOUBLE PRECISION,
  "page_height_mm" DOUBLE PRECISION,
  "file_name" TEXT,
  "sha256" TEXT,
  "bytes" BIGINT,
  "media_type" TEXT,
  "error_reason" TEXT,
  "engine_version" TEXT,
  "created_at" TIMESTAMPTZ(3) NOT NULL,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  "started_at" TIMESTAMPTZ(3),
  "finished_at" TIMESTAMPTZ(3),
  CONSTRAINT "exports_pkey" PRIMARY KEY ("id"),
  CONSTRAINT "exports_id_check" CHECK ("id" LIKE 'exp\_%'),
  CONSTRAINT "exports_state_check" CHECK ("state" IN ('accepted', 'working', 'ready', 'failed')),
  CONSTRAINT "exports_attempt_check" CHECK ("attempt" >= 0 AND ("state" <> 'working' OR "attempt" >= 1)),
  CONSTRAINT "exports_sequence_check" CHECK ("sequence" >= 1),
  CONSTRAINT "exports_fraction_check" CHECK ("fraction" >= 0 AND "fraction" <= 1),
  CONSTRAINT "exports_request_text_check" CHECK (char_length("request_text") <= 400),
  CONSTRAINT "exports_pages_check" CHECK ("pages" >= 1),
  CONSTRAINT "exports_file_name_check" CHECK ("file_name" ~ '^[A-Za-z0-9][A-Za-z0-9._-]{0,99}$'),
  CONSTRAINT "exports_sha256_check" CHECK ("sha256" ~ '^[0-9a-f]{64}$'),
  CONSTRAINT "exports_bytes_check" CHECK ("bytes" >= 0),
  CONSTRAINT "exports_result_check" CHECK (("state" = 'ready') =
    ("file_name" IS NOT NULL AND "sha256" IS NOT NULL AND "bytes" IS NOT NULL AND "media_type" IS NOT NULL)),
  CONSTRAINT "exports_ready_pages_check" CHECK ("state" <> 'ready' OR "pages" IS NOT NULL),
  CONSTRAINT "exports_error_reason_check" CHECK (("state" = 'failed') = ("error_reason" IS NOT NULL)),
  CONSTRAINT "exports_finished_at_check" CHECK (("state" IN ('accepted', 'working')) = ("finished_at" IS NULL)),
  CONSTRAINT "exports_shop_id_fkey" FOREIGN KEY ("shop_id") REFERENCES "shops" ("id") ON DELETE CASCADE,
  CONSTRAINT "exports_shop_id_draft_id_fkey" FOREIGN KEY ("shop_id", "draft_id")
    REFERENCES "drafts" ("shop_id", "id") ON DELETE CASCADE
);
CREATE UNIQUE INDEX "exports_shop_id_id_key" ON "exports" ("shop_id", "id");
CREATE INDEX "exports_shop_id_draft_id_id_idx" ON "exports" ("shop_id", "draft_id", "id");
CREATE INDEX "exports_sha256_idx" ON "exports" ("sha256");
CREATE INDEX "exports_state_updated_at_idx" ON "exports" ("state", "updated_at")
  WHERE "state" IN ('accepted', 'working');

-- The function says shop and id of whatever row it is called for; the channel keeps the name that running programs
-- listen to.
CREATE TRIGGER "exports_announce" AFTER INSERT OR UPDATE OF "sequence" ON "exports"
  FOR EACH ROW EXECUTE FUNCTION "announce_draft"();
