export const SERVICE = 'https://patterns.example/v1';
export const DRAFT_ID = 'drf_01KAYR5T3M8Q2W4V6X7Y9Z0ABC';
export const BODY_ID = 'bdy_01KAYR2J5N7P9R1S3T4V6W8XYZ';
export const CREATED = '2026-11-25T09:30:00.000Z';
export const ENDED = '2026-11-25T09:30:02.480Z';
