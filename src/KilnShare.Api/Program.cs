using KilnShare.Api.Hosting;

var builder = WebApplication.CreateBuilder(args);
builder.AddKilnShare();
var app = builder.Build();
app.UseKilnShare();
await app.RunAsync();

/// <summary>The service's entry point, named for the tests.</summary>
public partial class Program;
