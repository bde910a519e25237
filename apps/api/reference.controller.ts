import { Controller, Get, Param, Res } from '@nestjs/common';
import type { Response } from 'express';
import { ReferenceService } from './reference.service.js';

/** The reference for people, and the descriptions it is made from. Nothing in it comes from another host. */
@Controller()
export class ReferenceController {
  constructor(private readonly reference: ReferenceService) {}

  @Get('openapi.json')
  openApi(@Res() response: Response): void {
    response.setHeader('Content-Type', 'application/json; charset=utf-8').end(this.reference.openApiText());
  }

  @Get('schema.graphql')
  sdl(@Res() response: Response): void {
    response.setHeader('Content-Type', 'text/plain; charset=utf-8').end(this.reference.sdlText());
  }

  @Get('problems/:kind')
  problem(@Param('kind') kind: string, @Res() response: Response): void {
    response.setHeader('Content-Type', 'text/plain; charset=utf-8').end(this.reference.problemText(kind));
  }

  @Get('docs')
  page(@Res() response: Response): void {
    response.redirect('/docs/index.html');
  }

  @Get('docs/:name')
  async asset(@Param('name') name: string, @Res() response: Response): Promise<void> {
    const { bytes, mediaType } = await this.reference.asset(name);
    response.setHeader('Content-Security-Policy', this.reference.contentSecurityPolicy);
    response.setHeader('X-Content-Type-Options', 'nosniff');
    response.setHeader('Content-Type', mediaType).end(bytes);
  }
}
