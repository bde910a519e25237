-- A version stays in use beside a newer one until it is retired: drafts may name it.
DROP INDEX "alteration_versions_one_published_key";
