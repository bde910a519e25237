import { join } from 'node:path';
import type { Settings } from './settings-table.js';

type FileSettings = Pick<
  Settings,
  'dataFolder' | 'filesBucket' | 'filesBucketRegion' | 'filesBucketEndpoint' | 'filesBucketPrefix'
>;

/** Where files lie by the settings, as `#storage` opens it: one reading of them for every process. */
export function filePlaceOf(settings: FileSettings) {
  const { dataFolder, filesBucket: bucket, filesBucketEndpoint: endpoint } = settings;
  if (bucket === undefined) return { kind: 'folder', directory: join(dataFolder, 'files') } as const;
  return {
    kind: 'bucket',
    bucket,
    region: settings.filesBucketRegion,
    keyPrefix: settings.filesBucketPrefix,
    ...(endpoint === undefined ? {} : { endpoint, bucketInPath: true }),
  } as const;
}
