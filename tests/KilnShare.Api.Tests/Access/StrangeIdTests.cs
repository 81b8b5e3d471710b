using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Access;

/// <summary>Every id inside a body, put to a stranger's and to nobody's: refused alike, and nothing is stored.</summary>
public sealed class StrangeIdTests(Service service, ITestOutputHelper output) : IClassFixture<Service>
{
    [Fact]
    public async Task A_strangers_id_in_a_body_is_refused_like_one_that_does_not_exist()
    {
        var (own, other) = (await World.Make(service), await World.Make(service));
        await using var watch = new DatabaseWatch(service);
        var routes = RouteUnderTest.All(service).Where(r => r.BodyType is not null && r.Row.Least is not null).ToList();
        var (cases, seen) = (0, new HashSet<string>(StringComparer.Ordinal));
        foreach (var route in routes)
        {
            foreach (var pointer in World.Pointers(route.Example))
            {
                seen.Add($"{route.BodyType!.Name} {Field(pointer)}");
                var before = await watch.Read();
                var stranger = await Send(own, route, pointer, name => other.Find(name) ?? World.Absent(name));
                var nobody = await Send(own, route, pointer, World.Absent);
                cases += 2;
                Assert.InRange((int)stranger.Status, 400, 499);
                Assert.Equal((stranger.Status, stranger.Code, stranger.Pointer), (nobody.Status, nobody.Code, nobody.Pointer));
                Assert.Equal(before, await watch.Read());
            }
        }

        output.WriteLine($"{cases} cases over {seen.Count} fields: {string.Join(", ", seen.Order(StringComparer.Ordinal))}");
        var fields = routes.SelectMany(r => IdFields.Of(r.BodyType!).Select(f => $"{r.BodyType!.Name} {f}")).ToHashSet(StringComparer.Ordinal);
        Assert.Empty(fields.Except(seen, StringComparer.Ordinal));
        Assert.NotEmpty(fields);
    }

    private async Task<Reply> Send(World own, RouteUnderTest route, string pointer, Func<string, Guid> instead)
    {
        var body = own.Fill(route.Example!, pointer, instead).ToJsonString();
        return await own.Studio.Owner.Send(new HttpMethod(route.Method), route.Path(
            name => own.Find(name) ?? World.Absent(name)), body, contentType: route.ContentType!, ifMatch: route.Method == "POST" ? null : "*");
    }

    private static string Field(string pointer) => string.Join('/', pointer.Split('/').Where(part => !int.TryParse(part, out _))).TrimStart('/');
}

/// <summary>The ids in a type of body, found by reflection.</summary>
internal static class IdFields
{
    public static IEnumerable<string> Of(Type body, string prefix = "")
    {
        foreach (var property in body.GetProperties())
        {
            var name = prefix + System.Text.Json.JsonNamingPolicy.CamelCase.ConvertName(property.Name);
            var type = Nullable.GetUnderlyingType(property.PropertyType) ?? property.PropertyType;
            if (type.IsGenericType && type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>)) type = type.GetGenericArguments()[0];
            if (type == typeof(Guid)) yield return name;
            else if (type.Assembly == typeof(Program).Assembly && !type.IsEnum)
                foreach (var inner in Of(type, name + "/")) yield return inner;
        }
    }
}
