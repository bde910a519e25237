import { Args, Mutation, Query, Resolver } from '@nestjs/graphql';
import {
  DELIVERIES_QUERY,
  PAGE_QUERY,
  type AnswerPage,
  type DeliveryAnswer,
  type WebhookEndpointAnswer,
} from '#contracts';
import type { Caller } from './caller.js';
import { DeliveriesService, type DeliveriesQuery } from './deliveries.service.js';
import {
  DeliveriesArgs,
  GraphqlCaller,
  IdArg,
  KeyArg,
  orUndefined,
  PageArgs,
  readArgs,
} from './graphql-args.js';
import { WebhookEndpointChangeJson, WebhookEndpointRequestJson } from './graphql-scalars.js';
import {
  DeliveryPageType,
  DeliveryType,
  WebhookEndpointPageType,
  WebhookEndpointType,
} from './graphql-types.js';
import type { PageQuery } from './mapped-page.js';
import { WebhookEndpointsService } from './webhook-endpoints.service.js';

@Resolver()
export class WebhookEndpointsResolver {
  constructor(private readonly endpoints: WebhookEndpointsService) {}

  @Query(() => WebhookEndpointPageType, { description: 'Webhook endpoints, newest first.' })
  webhookEndpoints(
    @GraphqlCaller() caller: Caller,
    @Args() args: PageArgs,
  ): Promise<AnswerPage<WebhookEndpointAnswer>> {
    return this.endpoints.page(caller, readArgs<PageQuery>(PAGE_QUERY, args));
  }

  @Query(() => WebhookEndpointType, { description: 'One webhook endpoint.' })
  webhookEndpoint(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<WebhookEndpointAnswer> {
    return this.endpoints.find(caller, id);
  }

  @Mutation(() => WebhookEndpointType, { description: 'Have events sent to an address.' })
  async createWebhookEndpoint(
    @GraphqlCaller() caller: Caller,
    @Args('request', { type: () => WebhookEndpointRequestJson, description: 'The endpoint.' })
    request: unknown,
    @KeyArg() key: string | null,
  ): Promise<WebhookEndpointAnswer> {
    return (await this.endpoints.create(caller, request, orUndefined(key))).answer;
  }

  @Mutation(() => WebhookEndpointType, { description: 'Change a webhook endpoint.' })
  changeWebhookEndpoint(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @Args('change', { type: () => WebhookEndpointChangeJson, description: 'What changes.' }) change: unknown,
  ): Promise<WebhookEndpointAnswer> {
    return this.endpoints.change(caller, id, change);
  }

  @Mutation(() => WebhookEndpointType, {
    description: 'Make a new secret; the old one signs for another day.',
  })
  async rotateWebhookSecret(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @KeyArg() key: string | null,
  ): Promise<WebhookEndpointAnswer> {
    return (await this.endpoints.rotateSecret(caller, id, orUndefined(key))).answer;
  }

  @Mutation(() => Boolean, { description: 'Stop sending events to an address.' })
  async deleteWebhookEndpoint(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<true> {
    await this.endpoints.remove(caller, id);
    return true;
  }
}

@Resolver()
export class DeliveriesResolver {
  constructor(private readonly deliveries_: DeliveriesService) {}

  @Query(() => DeliveryPageType, { description: 'Webhooks on their way, newest first.' })
  deliveries(
    @GraphqlCaller() caller: Caller,
    @Args() args: DeliveriesArgs,
  ): Promise<AnswerPage<DeliveryAnswer>> {
    return this.deliveries_.page(caller, readArgs<DeliveriesQuery>(DELIVERIES_QUERY, args));
  }

  @Query(() => DeliveryType, { description: 'One delivery, with its attempts.' })
  delivery(@GraphqlCaller() caller: Caller, @IdArg() id: string): Promise<DeliveryAnswer> {
    return this.deliveries_.find(caller, id);
  }

  @Mutation(() => DeliveryType, { description: 'Send a webhook again.' })
  async redeliver(
    @GraphqlCaller() caller: Caller,
    @IdArg() id: string,
    @KeyArg() key: string | null,
  ): Promise<DeliveryAnswer> {
    return (await this.deliveries_.redeliver(caller, id, orUndefined(key))).answer;
  }
}
