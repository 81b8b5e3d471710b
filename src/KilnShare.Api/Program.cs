using KilnShare.Api.Hosting;

if (args is [HealthAsking.Argument, var address]) return await HealthAsking.Ask(address);
// The settings lie beside the program, wherever it is started from.
var builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { Args = args, ContentRootPath = AppContext.BaseDirectory });
builder.AddKilnShare();
var app = builder.Build();
try
{
    app.Services.GetRequiredService<ServiceSettings>();
    if (args is [DatabaseHost.MigrateArgument])
    {
        await DatabaseHost.Migrate(app.Services, CancellationToken.None);
        await app.DisposeAsync();
        return 0;
    }

    app.UseKilnShare();
    await app.StartAsync();
}
catch (InvalidOperationException e)
{
    Program.Misconfigured(app.Logger, e.Message);
    await app.DisposeAsync(); // which writes out what was logged
    return 1;
}

await app.WaitForShutdownAsync();
await app.DisposeAsync();
return 0;

/// <summary>The service's entry point, named for the tests.</summary>
public partial class Program
{
    [LoggerMessage(1, LogLevel.Critical, "The service cannot start: {Reason}")]
    internal static partial void Misconfigured(ILogger log, string reason);
}
