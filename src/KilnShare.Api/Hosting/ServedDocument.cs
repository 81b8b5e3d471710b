using System.Text;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.Swagger;

namespace KilnShare.Api.Hosting;

/// <summary>The OpenAPI document as it is sent: made when it is first asked for, and then kept, since making it takes most of a second of processor.</summary>
public sealed class ServedDocument(IServiceScopeFactory scopes)
{
    /// <summary>Where it is.</summary>
    public const string Path = "/openapi/v1.json";

    private readonly SemaphoreSlim making = new(1);
    private byte[]? made;

    /// <summary>Answers with it.</summary>
    public async Task Send(HttpContext context)
    {
        var document = made ?? await Make(context.RequestAborted);
        await Results.Bytes(document, "application/json; charset=utf-8").ExecuteAsync(context);
    }

    private async Task<byte[]> Make(CancellationToken cancellation)
    {
        await making.WaitAsync(cancellation); // whoever comes meanwhile waits for this one
        try
        {
            if (made is not null) return made;
            await using var scope = scopes.CreateAsyncScope();
            var document = await scope.ServiceProvider.GetRequiredService<IAsyncSwaggerProvider>().GetSwaggerAsync("v1");
            return made = Encoding.UTF8.GetBytes(await document.SerializeAsJsonAsync(OpenApiSpecVersion.OpenApi3_1, CancellationToken.None));
        }
        finally
        {
            making.Release();
        }
    }
}
