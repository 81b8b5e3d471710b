using KilnShare.Api.Hosting;

if (args is [HealthAsking.Argument, var address]) return await HealthAsking.Ask(address);
// The settings lie beside the program, wherever it is started from.
var builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { Args = args, ContentRootPath = AppContext.BaseDirectory });
builder.AddKilnShare();
var app = builder.Build();
try
{
    app.Services.GetRequiredService<ServiceSettings>();
}
catch (InvalidOperationException e)
{
    Program.Misconfigured(app.Logger, e.Message);
    await app.DisposeAsync(); // which writes out what was logged
    return 1;
}

app.UseKilnShare();
var databases = app.Services.GetRequiredService<Databases>();
await app.RunAsync();
return databases.IsGivenUp ? 1 : 0;

/// <summary>The service's entry point, named for the tests.</summary>
public partial class Program
{
    [LoggerMessage(1, LogLevel.Critical, "The service cannot start: {Reason}")]
    internal static partial void Misconfigured(ILogger log, string reason);
}
