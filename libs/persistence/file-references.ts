import { rows, type Session } from './session.js';

/** Which of these files no row of any shop refers to, so that nobody could ever fetch or erase them. */
export async function unreferencedFiles(
  session: Session,
  hashes: readonly string[],
): Promise<readonly string[]> {
  const asked = { where: { sha256: { in: [...hashes] } }, select: { sha256: true } };
  const kept = [
    ...(await rows(session).draftFile.findMany(asked)),
    ...(await rows(session).export.findMany(asked)),
    ...(await rows(session).markerFile.findMany(asked)),
    ...(await rows(session).checkFile.findMany(asked)),
  ];
  const keptHashes = new Set(kept.map(({ sha256 }) => sha256));
  return hashes.filter((hash) => !keptHashes.has(hash));
}
