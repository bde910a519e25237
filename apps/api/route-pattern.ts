/** What the path of a request looks like on a route with names in braces. */
export function routePattern(path: string): RegExp {
  return new RegExp(`^${path.replaceAll('.', '\\.').replaceAll(/\{\w+\}/g, '[^/]+')}/?$`);
}
