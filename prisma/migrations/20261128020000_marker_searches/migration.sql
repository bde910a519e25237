-- Searches of one marker beside the one its own job makes. They are a help that may be lost: whoever lays the marker
-- starts them under its attempt, takes what they have found, and does without the rest.

CREATE TABLE "marker_searches" (
  "shop_id" TEXT NOT NULL,
  "marker_id" TEXT NOT NULL,
  "attempt" INTEGER NOT NULL,
  "chain" INTEGER NOT NULL,
  "state" TEXT NOT NULL,
  "until" TIMESTAMPTZ(3),
  "found" JSONB,
  "updated_at" TIMESTAMPTZ(3) NOT NULL,
  CONSTRAINT "marker_searches_pkey" PRIMARY KEY ("shop_id", "marker_id", "attempt", "chain"),
  CONSTRAINT "marker_searches_chain_check" CHECK ("chain" BETWEEN 1 AND 63),
  CONSTRAINT "marker_searches_state_check" CHECK ("state" IN ('waiting', 'working', 'found', 'failed', 'dropped')),
  CONSTRAINT "marker_searches_found_check" CHECK (("state" = 'found') = ("found" IS NOT NULL)),
  CONSTRAINT "marker_searches_shop_id_marker_id_fkey" FOREIGN KEY ("shop_id", "marker_id")
    REFERENCES "markers" ("shop_id", "id") ON DELETE CASCADE
);
