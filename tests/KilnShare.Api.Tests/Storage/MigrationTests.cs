using System.Security.Cryptography;
using KilnShare.Api.Tests.Document;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Tests.Storage;

/// <summary>The service does not look at its start whether the migrations still make its tables: here it is looked at.</summary>
public sealed class MigrationTests
{
    [Fact]
    public void The_migrations_make_the_tables_that_the_code_expects()
    {
        using var db = new DesignFactory().CreateDbContext([]);
        Assert.False(db.Database.HasPendingModelChanges(), "A table or column has changed: add a migration (DEVELOPERS.md, How to add).");
    }

    // Databases in use have run them: what is to be otherwise goes into a new migration (DEVELOPERS.md, How to add).
    [Theory]
    [InlineData("Migrations/20261125194558_Initial.Designer.cs", "e2508f1668e2ab329256484656a597ffc66aeded4c6fb2d7580f21f7894a90eb")]
    [InlineData("Migrations/20261125194558_Initial.cs", "7177c5fd2fab445d82617e9fb6112cb6c31bdc4843f076ccea0ff455b9e03ab6")]
    [InlineData("Migrations/20261125194608_Walls.Designer.cs", "fef9657ff939174a2187853de6923da67178efef6f354bab864114a3a0bdbe73")]
    [InlineData("Migrations/20261125194608_Walls.cs", "8f975451d5ab6575ad4581dd55ebd172e550ac78524945e303db259804ddc0ad")]
    [InlineData("Sql/walls.sql", "6ecdc3e0895815b86ab8b0011ab1166de61db07b4432df4ed7409ef67321b97e")]
    public async Task The_files_of_the_first_release_stay_as_they_are(string file, string sha256) => Assert.Equal(
        sha256, Convert.ToHexStringLower(SHA256.HashData(
            await File.ReadAllBytesAsync(Path.Combine(CommittedFile.Root, "src/KilnShare.Storage", file), TestContext.Current.CancellationToken))));

    [Fact]
    public void Every_table_is_asked_for_one_studio_only()
    {
        using var db = new DesignFactory().CreateDbContext([]);
        Assert.True(db.Model.GetEntityTypes().Count() >= 40);
        Assert.Empty(db.Model.GetEntityTypes().Where(t => t.GetDeclaredQueryFilters().Count == 0).Select(t => t.Name));
    }
}
